import type { RevisionContent } from '@syncline/calibration';
import { type BenchPoint, type Car, idealPressureFactor, ShiftBench } from '@syncline/drivetrain';
import { planRequests } from './drive-plan.ts';
import { BENCH_STEP_S, type Gearset, RULE } from './loop-setting.ts';

/** Places at which a map is held against the truth, planned as the fleet's requests are but none of them. */
const PLACES = 360;

/** How far a map is from the truth. */
export interface MapError {
  /** ln of commanded over ideal pressure, r.m.s. and the median of its size. */
  readonly rms: number;
  readonly median: number;
  /** Places where some pressure gives the target time. */
  readonly places: number;
}

/** Makes the judge of maps: the average car drives each place in the simulator itself, without noise or log. */
export function mapErrorJudge(gearset: Gearset, average: Car): (content: RevisionContent) => MapError {
  const points = planRequests(gearset, 'judged places', PLACES);
  return (content) => {
    const errors = pressureErrors(gearset, content, average, points).filter((error) => error !== null);
    const sizes = errors.map(Math.abs).sort((a, b) => a - b);
    return {
      rms: Math.sqrt(errors.reduce((sum, error) => sum + error * error, 0) / errors.length),
      median: sizes[Math.floor(sizes.length / 2)] ?? Number.NaN,
      places: errors.length,
    };
  };
}

/** ln of commanded over ideal pressure at each place; null where no pressure gives the target time. */
function pressureErrors(
  { gearbox, layout }: Gearset,
  content: RevisionContent,
  car: Car,
  points: readonly BenchPoint[],
): (number | null)[] {
  const bench = new ShiftBench({ gearbox, layout, content, stepS: BENCH_STEP_S });
  return points.map((point) => {
    const factor = idealPressureFactor(bench, car, point);
    return factor === null ? null : -Math.log(factor);
  });
}

/**
 * What a car needs over the average one by shift kind (ln clutch torque): at each place the pressures over the return
 * spring with which each meets its target time, the median of their ratio. Nothing of it is known to the method.
 */
export function neededTrims(gearset: Gearset, content: RevisionContent, average: Car, car: Car): Map<string, number> {
  const { gearbox, layout } = gearset;
  const returnKpa = layout.rules.find(({ id }) => id === RULE)?.returnPressureKpa ?? 0;
  const bench = new ShiftBench({ gearbox, layout, content, stepS: BENCH_STEP_S });
  const ratios = new Map<string, number[]>();
  for (const point of planRequests(gearset, 'places of trims', PLACES / 3)) {
    const [own, usual] = [car, average].map((one) => idealPressureFactor(bench, one, point));
    const commandedKpa = bench.makeShift(average, point)?.commandedPressureKpa;
    if (own === null || usual === null || commandedKpa === undefined) continue;
    const ratio = (own * commandedKpa - returnKpa) / (usual * commandedKpa - returnKpa);
    if (ratio > 0) ratios.set(point.shift, [...(ratios.get(point.shift) ?? []), Math.log(ratio)]);
  }
  return new Map([...ratios].map(([kind, found]) => [kind, found.sort((a, b) => a - b)[Math.floor(found.length / 2)]]));
}
