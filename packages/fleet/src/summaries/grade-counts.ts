import type { Grade } from '@syncline/shifts';
import { type ClusteredRate, type ClusteredRateOptions, clusteredRate } from '../rates/clustered-rate.js';

/**
 * Counts of one cell of the fleet matrix for one vehicle. A shift with several grades counts in each; a clean one only
 * in `shifts`. Whole numbers, so merging and taking back are exact in any order.
 */
export interface GradeCounts {
  readonly shifts: number;
  readonly flare: number;
  readonly tieUp: number;
  readonly harsh: number;
  readonly slow: number;
  readonly incomplete: number;
}

export const COUNTED_GRADES = ['flare', 'tieUp', 'harsh', 'slow', 'incomplete'] as const;
export type CountedGrade = (typeof COUNTED_GRADES)[number];

export const NO_SHIFTS: GradeCounts = { shifts: 0, flare: 0, tieUp: 0, harsh: 0, slow: 0, incomplete: 0 };

/** The counts of a single shift with these grades. */
export function countShift(grades: readonly Grade[]): GradeCounts {
  const has = (grade: Grade) => (grades.includes(grade) ? 1 : 0);
  return {
    shifts: 1,
    flare: has('flare'),
    tieUp: has('tie-up'),
    harsh: has('harsh'),
    slow: has('slow'),
    incomplete: has('incomplete'),
  };
}

export function mergeGradeCounts(a: GradeCounts, b: GradeCounts): GradeCounts {
  return combine(a, b, 1);
}

/** Takes `part` back out of `whole`, as when a log is removed or analysed anew. */
export function subtractGradeCounts(whole: GradeCounts, part: GradeCounts): GradeCounts {
  return combine(whole, part, -1);
}

function combine(a: GradeCounts, b: GradeCounts, sign: 1 | -1): GradeCounts {
  return {
    shifts: a.shifts + sign * b.shifts,
    flare: a.flare + sign * b.flare,
    tieUp: a.tieUp + sign * b.tieUp,
    harsh: a.harsh + sign * b.harsh,
    slow: a.slow + sign * b.slow,
    incomplete: a.incomplete + sign * b.incomplete,
  };
}

/**
 * Rate of one grade over a cell, from the counts of each vehicle in it (one entry per vehicle: merge its logs first).
 */
export function gradeRate(
  byVehicle: readonly GradeCounts[],
  grade: CountedGrade,
  options: ClusteredRateOptions = {},
): ClusteredRate {
  return clusteredRate(
    { events: byVehicle.map((counts) => counts[grade]), trials: byVehicle.map((counts) => counts.shifts) },
    options,
  );
}
