import type { Layout, RevisionContent } from '@syncline/calibration';
import type { Car } from './car.js';
import { compileControlTables } from './control-tables.js';
import { ControlUnit } from './control-unit.js';
import { torqueRatio } from './converter.js';
import { CYCLE_S, type DriveTrace, type FastSignals, makeSlowSignals, type SlowSignals } from './drive-trace.js';
import { Driver } from './driver.js';
import { steadyTorque } from './engine.js';
import { FluidTemperature } from './fluid-temperature.js';
import type { Gearbox } from './gearbox.js';
import { Powertrain } from './powertrain.js';
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
  const fluid = new FluidTemperature(startTemperatureC, ambientC);
  const stepsPerCycle = Math.round(CYCLE_S / stepS);
  const cycles = Math.floor(routeDuration(route) / CYCLE_S);
  const fast = makeFastSignals(cycles * stepsPerCycle);
  const slow = makeSlowSignals(cycles);
  let heatJ = 0;
  for (let cycle = 0; cycle < cycles; cycle++) {
    const timeS = cycle * CYCLE_S;
    fluid.advance(timeS, CYCLE_S, powertrain.gearboxHeatJ - heatJ);
    heatJ = powertrain.gearboxHeatJ;
    drive(driver, powertrain, control, setup, timeS);
    control.update(timeS, CYCLE_S, powertrain.inputTorqueNm * car.torqueSignalGain, fluid.temperatureC, driver);
    recordSlow(slow, cycle, { driver, control, timeS, temperatureC: fluid.temperatureC });
    powertrain.advance(stepsPerCycle, fluid.temperatureC, fast, cycle * stepsPerCycle);
  }
  return { stepS, ...fast, slow, shifts: control.shifts, lockUps: control.lockUps, energy: powertrain.energy };
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

function recordSlow(
  slow: SlowSignals,
  cycle: number,
  now: { driver: Driver; control: ControlUnit; timeS: number; temperatureC: number },
): void {
  const { driver, control, timeS } = now;
  slow.gear[cycle] = control.gear;
  slow.gearTarget[cycle] = control.target;
  slow.load[cycle] = control.load;
  slow.pedal[cycle] = driver.pedal;
  slow.brake[cycle] = driver.isBraking ? 1 : 0;
  slow.fluidTemperature[cycle] = now.temperatureC;
  slow.applyPressure[cycle] = control.applyPressureKpa;
  slow.linePressure[cycle] = control.linePressureKpa;
  slow.converterDuty[cycle] = control.converterDuty;
  slow.valveOn[cycle] = control.isValveOn(timeS) ? 1 : 0;
}

function makeFastSignals(count: number): FastSignals {
  return {
    engineRpm: new Float64Array(count),
    inputRpm: new Float64Array(count),
    outputRpm: new Float64Array(count),
    inputTorqueNm: new Float64Array(count),
    oncomingNm: new Float64Array(count),
    offgoingNm: new Float64Array(count),
  };
}
