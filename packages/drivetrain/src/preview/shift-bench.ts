import type { Layout, RevisionContent, ShiftKind } from '@syncline/calibration';
import type { Car } from '../car.js';
import { type ControlTables, compileControlTables } from '../control-tables.js';
import { ControlUnit } from '../control-unit.js';
import { pumpTorque, torqueRatio } from '../converter.js';
import { CYCLE_S, type DriveTrace } from '../drive-trace.js';
import { dragTorque, fullTorque, steadyTorque } from '../engine.js';
import { FluidTemperature } from '../fluid-temperature.js';
import type { Gearbox } from '../gearbox.js';
import { Powertrain } from '../powertrain.js';
import { recordTrace } from '../record-trace.js';
import { type ShiftTruth, shiftTruths } from '../shift-truth.js';
import { DEMO_TARGET_TIMES, type TargetTimes } from '../target-times.js';
import { radPerS } from '../units.js';
import { airAndGradeForce, metresPerRad, rollingForce, vehicleInertia } from '../vehicle.js';

/** Where a shift is made: what the car does when it is commanded. */
export interface BenchPoint {
  /** Shift id such as `3-4`. */
  readonly shift: string;
  readonly program: string;
  /** As the control unit sees it (% of rated input torque). */
  readonly load: number;
  readonly outputSpeedRpm: number;
  readonly fluidTemperatureC: number;
  /** Pedal from the command on (%); default: that of the load. A kick-down is pressed further than it yet pulls. */
  readonly pedal?: number;
}

/** A revision to be tried shift by shift. */
export interface BenchSetup {
  readonly gearbox: Gearbox;
  readonly layout: Layout;
  readonly content: RevisionContent;
  /** Default `DEMO_TARGET_TIMES`. */
  readonly targetTimes?: TargetTimes;
  /** Step of the integration (s): 0.01 divided by a whole number. Default 0.002; 0.005 halves the cost. */
  readonly stepS?: number;
}

/** The shift is commanded this long after the start (s), when torque and speeds have settled. */
const RUN_IN_S = 0.5;
const LONGEST_S = 4.5;
/** Jerk is read this long past synchronisation, which the control unit sees some time before it ends the shift (s). */
const RUN_OUT_S = 0.35;
const HIGHEST_ENGINE_RPM = 7000;

/**
 * Single shifts of a revision without a drive around them: the car rolls on a level road in the old gear, torque and
 * speed settled; half a second later the shift is commanded, whatever the schedule says; pedal and road stay as they are.
 * Some 1.5 s of driving, about 0.5 ms on one core.
 */
export class ShiftBench {
  readonly #setup: BenchSetup;
  readonly #tables = new Map<string, ControlTables>();

  constructor(setup: BenchSetup) {
    this.#setup = setup;
  }

  /**
   * What really happened; null when the control unit made no shift of it. Throws on an unknown shift.
   * @param pressureFactor on the commanded pressure of the shift
   */
  makeShift(car: Car, point: BenchPoint, pressureFactor = 1): ShiftTruth | null {
    const trace = this.trace(car, point, pressureFactor);
    const [truth] = shiftTruths(trace, car, this.#setup.targetTimes ?? DEMO_TARGET_TIMES);
    return truth ?? null;
  }

  /** The same as a trace, noiseless. */
  trace(car: Car, point: BenchPoint, pressureFactor = 1): DriveTrace {
    const { gearbox, stepS = 0.002 } = this.#setup;
    const shift = findShift(gearbox, point.shift);
    const start = settledStart(gearbox, car, shift, point);
    const powertrain = new Powertrain(gearbox, car, stepS, { shift, ...start });
    const schedule = { isDue: false };
    const tables = withSchedule(this.#tablesFor(point.program), gearbox, shift, { schedule, pressureFactor });
    const control = new ControlUnit(gearbox, tables, powertrain, {
      program: point.program,
      valveHoldS: car.valveHoldS,
      gear: shift.from,
    });
    const perRad = metresPerRad(car.vehicle);
    const wish = { pedal: start.pedal, isBraking: false };
    const pressedPedal = point.pedal ?? start.pedal;
    return recordTrace({
      car,
      stepS,
      powertrain,
      control,
      fluid: new FluidTemperature(point.fluidTemperatureC, point.fluidTemperatureC),
      mostCycles: Math.round(LONGEST_S / CYCLE_S),
      drive: (timeS) => {
        if (timeS >= RUN_IN_S) {
          schedule.isDue = true;
          wish.pedal = pressedPedal;
        }
        powertrain.engineDemandNm = steadyTorque(car.engine, wish.pedal, powertrain.engineRpm);
        powertrain.roadNm = airAndGradeForce(car.vehicle, radPerS(powertrain.outputRpm) * perRad, 0) * perRad;
        return wish;
      },
      isOver: (timeS) => {
        const endS = control.shifts[0]?.endS;
        return endS !== undefined && endS !== null && timeS > endS + RUN_OUT_S;
      },
    });
  }

  #tablesFor(program: string): ControlTables {
    const { gearbox, layout, content } = this.#setup;
    const compiled = this.#tables.get(program) ?? compileControlTables(gearbox, layout, content, program);
    this.#tables.set(program, compiled);
    return compiled;
  }
}

/** Tables whose schedule calls for one shift and nothing else, as soon as it is due. */
function withSchedule(
  tables: ControlTables,
  { platform }: Gearbox,
  shift: ShiftKind,
  { schedule, pressureFactor }: { schedule: { readonly isDue: boolean }; pressureFactor: number },
): ControlTables {
  const isUp = shift.to > shift.from;
  const gears = [0, ...platform.gears.map(({ gear }) => gear)];
  // Upshifts are due above an output speed, downshifts below one.
  const scheduled = { to: shift.to, outputSpeed: () => (schedule.isDue === isUp ? -1 : Number.POSITIVE_INFINITY) };
  const own = tables.shifts[shift.id];
  return {
    ...tables,
    shifts: {
      ...tables.shifts,
      [shift.id]: { ...own, applyPressure: (point) => pressureFactor * own.applyPressure(point) },
    },
    upshifts: gears.map((gear) => (isUp && gear === shift.from ? scheduled : undefined)),
    downshifts: gears.map((gear) => (!isUp && gear === shift.from ? [scheduled] : [])),
    lockUpOnSpeed: [],
  };
}

function findShift({ platform }: Gearbox, id: string): ShiftKind {
  const shift = platform.shifts.find((entry) => entry.id === id);
  if (shift === undefined) {
    throw new Error(
      `Platform '${platform.id}' has no shift '${id}'; it has ${platform.shifts.map((s) => s.id).join(', ')}.`,
    );
  }
  return shift;
}

/** Speeds, torque and pedal half a second before the command, from the equilibrium of converter and engine. */
function settledStart(
  { platform }: Gearbox,
  car: Car,
  shift: ShiftKind,
  point: BenchPoint,
): { outputRpm: number; engineRpm: number; engineNm: number; pedal: number } {
  const ratio = platform.gears[shift.from - 1].ratio;
  const inputNm = ((point.load / 100) * platform.ratedInputTorqueNm) / car.torqueSignalGain;
  const perRad = metresPerRad(car.vehicle);
  const roadNm =
    (airAndGradeForce(car.vehicle, radPerS(point.outputSpeedRpm) * perRad, 0) + rollingForce(car.vehicle)) * perRad;
  const rpmPerS = (inputNm * ratio - roadNm) / vehicleInertia(car.vehicle) / radPerS(1);
  const outputRpm = Math.max(0.7 * point.outputSpeedRpm, point.outputSpeedRpm - rpmPerS * RUN_IN_S);
  const engineRpm = engineSpeedFor(car, ratio * outputRpm, inputNm);
  const engineNm = pumpTorque(car.converter, radPerS(engineRpm), radPerS(ratio * outputRpm));
  const drag = dragTorque(car.engine, engineRpm);
  const pedal = (100 * (engineNm + drag)) / (fullTorque(car.engine, engineRpm) + drag);
  return { outputRpm, engineRpm, engineNm, pedal: Math.min(100, Math.max(0, pedal)) };
}

/** Engine speed (rpm) at which the converter gives a turbine torque, by bisection: more speed gives more torque. */
function engineSpeedFor(car: Car, inputRpm: number, inputNm: number): number {
  const turbine = radPerS(inputRpm);
  let [low, high] = [car.engine.idleRpm, HIGHEST_ENGINE_RPM];
  for (let i = 0; i < 40; i++) {
    const middle = (low + high) / 2;
    const engine = radPerS(middle);
    const pump = pumpTorque(car.converter, engine, turbine);
    const torque = pump > 0 ? pump * torqueRatio(car.converter, turbine / engine) : pump;
    if (torque < inputNm) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
