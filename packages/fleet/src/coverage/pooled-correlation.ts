import { ASSUMED_CORRELATION } from '../rates/clustered-rate.js';
import type { CarShifts } from './effective-shifts.js';

/** Cars beyond the first of their cell that an estimate takes at least; fewer say nothing of how cars differ. */
const MIN_DEGREES = 20;
/** Outside this range a car would tell as much as a fleet, or hardly more than one shift. */
const RANGE = { low: 0.01, high: 0.5 };

/**
 * Correlation between shifts of one car at one operating point, from all points together: analysis of variance with
 * the points as strata, whose sums of squares and degrees of freedom are added up (Cochran 1977, Sampling Techniques, 9.3,
 * as `clusterVariance` has it for one stratum). Points without an event, or with nothing else, say nothing and are left
 * out; with too few cars `ASSUMED_CORRELATION` stands in. Kept within 0.01 to 0.5. O(cars over all points).
 */
export function pooledCorrelation(cells: readonly (readonly CarShifts[])[]): number {
  let between = 0;
  let within = 0;
  let betweenDegrees = 0;
  let withinDegrees = 0;
  let sizes = 0;
  for (const cell of cells) {
    const cars = cell.filter(({ shifts }) => shifts > 0);
    const shifts = sumOf(cars, (car) => car.shifts);
    const rate = sumOf(cars, (car) => car.events) / shifts;
    if (cars.length < 2 || rate === 0 || rate === 1) continue;
    const ofCars = sumOf(cars, (car) => (car.events - car.shifts * rate) ** 2 / car.shifts);
    between += ofCars;
    within += shifts * rate * (1 - rate) - ofCars;
    betweenDegrees += cars.length - 1;
    withinDegrees += shifts - cars.length;
    sizes += shifts - sumOf(cars, (car) => car.shifts ** 2) / shifts;
  }
  if (betweenDegrees < MIN_DEGREES || withinDegrees === 0) return ASSUMED_CORRELATION;
  const meanBetween = between / betweenDegrees;
  const meanWithin = within / withinDegrees;
  const size = sizes / betweenDegrees;
  const found = (meanBetween - meanWithin) / (meanBetween + (size - 1) * meanWithin);
  return Math.min(RANGE.high, Math.max(RANGE.low, found));
}

function sumOf<T>(items: readonly T[], value: (item: T) => number): number {
  return items.reduce((sum, item) => sum + value(item), 0);
}
