import { evaluateRule, type OperatingPoint } from '@syncline/calibration';
import {
  type BenchPoint,
  type Car,
  DEMO_TARGET_TIMES,
  type DriveTrace,
  idealPressureFactor,
  ShiftBench,
  type ShiftTruth,
  shiftTruths,
} from '@syncline/drivetrain';
import { BENCH_STEP_S, type Gearset, RULE } from './loop-setting.ts';

/** A place on the map and the pressure that a shift of one car wants there. */
export interface IdealPoint {
  readonly shift: string;
  readonly point: OperatingPoint;
  readonly pressureKpa: number;
  /** Whether the target time is met; else a small speed step leaps over it, and the pressure is the least without a flare. */
  readonly isTimed: boolean;
}

/** Of two values of the rule that are this near (ln) one was commanded. */
const SAME_LN = 0.002;
/** A time within this of its target (ln) met it. */
const TIMED_LN = 0.02;
/** The clutch is seen to slip no later than this after the map was followed last (s). */
const LATEST_SIGHT_S = 0.04;

/**
 * Seeks, in the simulator itself and without noise, the pressure with which a car's shift takes its target time, or the
 * least without a flare where it takes less (`idealPressureFactor`). Places without one are left out. Nothing of it is
 * known to the method.
 */
export function findIdealPoints(gearset: Gearset, car: Car, places: readonly BenchPoint[]): IdealPoint[] {
  const { gearbox, layout, matched } = gearset;
  const bench = new ShiftBench({ gearbox, layout, content: matched, stepS: BENCH_STEP_S });
  return places.flatMap((place) => {
    const factor = idealPressureFactor(bench, car, place);
    if (factor === null) return [];
    const trace = bench.trace(car, place, factor);
    const [truth] = shiftTruths(trace, car, DEMO_TARGET_TIMES);
    if (truth === undefined) return [];
    const pressureKpa = truth.commandedPressureKpa;
    const point = lastFollowed(trace, truth, place, (at) => {
      const ruled = factor * evaluateRule(layout, matched, RULE, at).value;
      return Math.abs(Math.log(ruled / pressureKpa)) < SAME_LN;
    });
    const isTimed = Math.abs(Math.log((truth.actualTimeS ?? 0) / truth.targetTimeS)) < TIMED_LN;
    return point === null ? [] : [{ shift: place.shift, point, pressureKpa, isTimed }];
  });
}

/** Where the map was followed last before the clutch slipped: the last place on the way at which it says what was commanded. */
function lastFollowed(
  { slow, inputRpm, engineRpm, stepS }: DriveTrace,
  { commandS, syncS, actualTimeS }: ShiftTruth,
  { shift, program }: BenchPoint,
  isCommanded: (at: OperatingPoint) => boolean,
): OperatingPoint | null {
  if (syncS === null || actualTimeS === null) return null;
  const stepsPerCycle = inputRpm.length / slow.load.length;
  const cycleAt = (timeS: number) => Math.round(timeS / stepS / stepsPerCycle);
  for (let cycle = cycleAt(syncS - actualTimeS + LATEST_SIGHT_S); cycle >= cycleAt(commandS); cycle--) {
    const step = Math.floor(cycle * stepsPerCycle);
    const at = {
      shift,
      program,
      load: slow.load[cycle],
      inputSpeed: inputRpm[step],
      engineSpeed: engineRpm[step],
      fluidTemperature: slow.fluidTemperature[cycle],
    };
    if (isCommanded(at)) return at;
  }
  return null;
}
