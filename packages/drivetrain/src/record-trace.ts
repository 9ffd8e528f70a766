import type { Car } from './car.js';
import type { ControlUnit, DriverWish } from './control-unit.js';
import { CYCLE_S, type DriveTrace, type FastSignals, makeSlowSignals, type SlowSignals } from './drive-trace.js';
import type { FluidTemperature } from './fluid-temperature.js';
import type { Powertrain } from './powertrain.js';

/** Parts of a simulation that are put together and ready to run. */
export interface Simulation {
  readonly car: Car;
  readonly stepS: number;
  readonly powertrain: Powertrain;
  readonly control: ControlUnit;
  readonly fluid: FluidTemperature;
  readonly mostCycles: number;
  /** Sets the demands on the powertrain for the coming control cycle and says what the driver does. */
  readonly drive: (timeS: number) => DriverWish;
  /** Asked after each control cycle; default: never before `mostCycles`. */
  readonly isOver?: (timeS: number) => boolean;
}

/** Runs a simulation, cycle by cycle, and returns everything that happened, without noise. */
export function recordTrace(simulation: Simulation): DriveTrace {
  const { car, stepS, powertrain, control, fluid, mostCycles, isOver } = simulation;
  const stepsPerCycle = Math.round(CYCLE_S / stepS);
  const fast = makeFastSignals(mostCycles * stepsPerCycle);
  const slow = makeSlowSignals(mostCycles);
  let heatJ = 0;
  let cycle = 0;
  while (cycle < mostCycles) {
    const timeS = cycle * CYCLE_S;
    fluid.advance(timeS, CYCLE_S, powertrain.gearboxHeatJ - heatJ);
    heatJ = powertrain.gearboxHeatJ;
    const wish = simulation.drive(timeS);
    control.update(timeS, CYCLE_S, powertrain.inputTorqueNm * car.torqueSignalGain, fluid.temperatureC, wish);
    recordSlow(slow, cycle, { wish, control, timeS, temperatureC: fluid.temperatureC });
    powertrain.advance(stepsPerCycle, fluid.temperatureC, fast, cycle * stepsPerCycle);
    cycle++;
    if (isOver?.(timeS)) break;
  }
  return {
    stepS,
    ...firstOf(fast, cycle * stepsPerCycle),
    slow: firstOf(slow, cycle),
    shifts: control.shifts,
    lockUps: control.lockUps,
    energy: powertrain.energy,
  };
}

function recordSlow(
  slow: SlowSignals,
  cycle: number,
  now: { wish: DriverWish; control: ControlUnit; timeS: number; temperatureC: number },
): void {
  const { wish, control, timeS } = now;
  slow.gear[cycle] = control.gear;
  slow.gearTarget[cycle] = control.target;
  slow.load[cycle] = control.load;
  slow.pedal[cycle] = wish.pedal;
  slow.brake[cycle] = wish.isBraking ? 1 : 0;
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

/** The same signals cut to a number of samples. */
function firstOf<Id extends string>(
  signals: Readonly<Record<Id, Float64Array>>,
  count: number,
): Record<Id, Float64Array> {
  const entries = Object.entries<Float64Array>(signals).map(([id, values]) => [id, values.subarray(0, count)] as const);
  return Object.fromEntries(entries) as Record<Id, Float64Array>;
}
