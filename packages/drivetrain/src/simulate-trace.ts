import type { Layout, RevisionContent } from '@syncline/calibration';
import type { Car } from './car.js';
import { compileControlTables } from './control-tables.js';
import { ControlUnit } from './control-unit.js';
import { torqueRatio } from './converter.js';
import { CYCLE_S, type DriveTrace } from './drive-trace.js';
import { Driver } from './driver.js';
import { steadyTorque } from './engine.js';
import { FluidTemperature } from './fluid-temperature.js';
import type { Gearbox } from './gearbox.js';
import { Powertrain } from './powertrain.js';
import { recordTrace } from './record-trace.js';
import { type Route, routeDuration } from './route.js';
import { airAndGradeForce, metresPerRad } from './vehicle.js';

/** One drive to simulate. */
export interface DriveSetup {
  readonly gearbox: Gearbox;
  readonly car: Car;
  readonly layout: Layout;
  readonly content: RevisionContent;
  /** Id of the driving program. */
  readonly program: string;
  readonly route: Route;
  /** Fluid temperature at the start (°C). Default 60. */
  readonly startTemperatureC?: number;
  /** Default 15. */
  readonly ambientC?: number;
  /** Step of the integration (s): 0.01 divided by a whole number. Default 0.002. */
  readonly stepS?: number;
}

/** Drives a route and returns everything that happened, without noise; the same for the same setup. */
export function simulateTrace(setup: DriveSetup): DriveTrace {
  const { gearbox, car, program, route } = setup;
  const { stepS = 0.002, startTemperatureC = 60, ambientC = 15 } = setup;
  const tables = compileControlTables(gearbox, setup.layout, setup.content, program);
  const powertrain = new Powertrain(gearbox, car, stepS);
  const control = new ControlUnit(gearbox, tables, powertrain, { program, valveHoldS: car.valveHoldS });
  const driver = new Driver(car, route);
  return recordTrace({
    car,
    stepS,
    powertrain,
    control,
    fluid: new FluidTemperature(startTemperatureC, ambientC),
    mostCycles: Math.floor(routeDuration(route) / CYCLE_S),
    drive: (timeS) => {
      drive(driver, powertrain, control, setup, timeS);
      return driver;
    },
  });
}

/** The driver looks at the road and sets pedal and brake; road and engine answer. */
function drive(driver: Driver, powertrain: Powertrain, control: ControlUnit, setup: DriveSetup, timeS: number): void {
  const { car, gearbox } = setup;
  const { engineRpm, inputRpm, outputRpm } = powertrain;
  const perRad = metresPerRad(car.vehicle);
  const speed = (outputRpm * Math.PI * perRad) / 30;
  const multiplied = torqueRatio(car.converter, Math.min(1, inputRpm / engineRpm));
  const engineToWheel = (multiplied * gearbox.platform.gears[control.target - 1].ratio) / perRad;
  driver.update(timeS, CYCLE_S, speed, engineRpm, engineToWheel);
  powertrain.engineDemandNm = steadyTorque(car.engine, driver.pedal, engineRpm);
  powertrain.brakeNm = driver.brakeTorque();
  powertrain.roadNm = airAndGradeForce(car.vehicle, speed, driver.grade(timeS)) * perRad;
}
