import { incompleteBeta } from '../special/incomplete-beta.js';
import { normalCritical } from '../special/normal.js';
import { type CarShifts, effectiveShifts, type ShiftCorrelations } from './effective-shifts.js';

/** Shifts that one car is to bring; null for a car that is new to the point. */
export interface PlannedShifts {
  readonly vehicleId: string | null;
  readonly dialect: string | null;
  readonly shifts: number;
}

/** What is believed of a rate before anything of the point itself is known: a beta distribution. */
export interface RatePrior {
  /** 0 < mean < 1. */
  readonly mean: number;
  /** Independent shifts that it is worth. */
  readonly trials: number;
}

/** What is believed of the rate at a point: a beta distribution by mean and weight. */
export interface RateBelief {
  readonly rate: number;
  readonly trials: number;
}

/** The belief after the shifts of the point: prior and effective counts added up (beta-binomial algebra). */
export function beliefOf(cars: readonly CarShifts[], prior: RatePrior, correlations: ShiftCorrelations): RateBelief {
  const counts = effectiveShifts(cars, correlations);
  const trials = prior.trials + counts.trials;
  return { rate: (prior.mean * prior.trials + counts.events) / trials, trials };
}

/** Width of the 95 % interval of a belief, by its standard deviation √(r(1 − r)/(T + 1)). */
export function intervalWidth({ rate, trials }: RateBelief): number {
  return 2 * normalCritical(0.95) * Math.sqrt((rate * (1 - rate)) / (trials + 1));
}

/**
 * Width that is to be expected after `added` further independent shifts: w·√(T/(T + added)). The expected posterior
 * variance of a beta belief is exactly T/(T + added) of the present one, whatever the shifts will show (Raiffa and
 * Schlaifer 1961, Applied Statistical Decision Theory, 5 and 9, preposterior analysis; from memory). The width is that
 * of the root mean square.
 */
export function expectedWidth(belief: RateBelief, added: number): number {
  return intervalWidth(belief) * Math.sqrt(belief.trials / (belief.trials + added));
}

/** Probability that the rate is above `bound`, 0 < bound < 1. */
export function probabilityAbove({ rate, trials }: RateBelief, bound: number): number {
  return 1 - incompleteBeta(bound, rate * trials, (1 - rate) * trials);
}

/** By how many independent shifts a planned drive adds to what is known: less, the more its car has driven here already. */
export function addedShifts(
  cars: readonly CarShifts[],
  { vehicleId, dialect, shifts }: PlannedShifts,
  correlations: ShiftCorrelations,
): number {
  const now = effectiveShifts(cars, correlations).trials;
  const own = cars.find((car) => car.vehicleId === vehicleId);
  const others = own === undefined ? cars : cars.filter((car) => car !== own);
  const after = { vehicleId: vehicleId ?? '', dialect, shifts: (own?.shifts ?? 0) + shifts, events: 0 };
  return Math.max(0, effectiveShifts([...others, after], correlations).trials - now);
}

/** How much a drive at a point matters. */
export interface DriveGain {
  /** Present and expected width of the 95 % interval of the rate (share). */
  readonly widthNow: number;
  readonly widthAfter: number;
  /** Share of the fleet's shifts that fall on the point. */
  readonly usageShare: number;
  /** Probability that the rate there is above the bound. */
  readonly probabilityAbove: number;
  /** usage share × probability above × (width now − width after): what points are ranked by; no unit of its own. */
  readonly gain: number;
}

/**
 * Gain of a planned drive: by how much the interval of the rate is expected to shrink, weighted by how often the fleet
 * drives there and by how likely the rate is one that hurts.
 */
export function driveGain(
  belief: RateBelief,
  options: { readonly added: number; readonly usageShare: number; readonly rateBound: number },
): DriveGain {
  const { added, usageShare, rateBound } = options;
  const widthNow = intervalWidth(belief);
  const widthAfter = expectedWidth(belief, added);
  const above = probabilityAbove(belief, rateBound);
  return {
    widthNow,
    widthAfter,
    usageShare,
    probabilityAbove: above,
    gain: usageShare * above * (widthNow - widthAfter),
  };
}
