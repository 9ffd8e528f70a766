import { sql } from 'drizzle-orm';
import { fleetSlices } from '../schema/shifts.js';
import type { OutcomeCounts } from './fleet.js';

/** The counts over everything in a row of the summaries. */
export const countColumns = {
  shifts: fleetSlices.shifts,
  flare: fleetSlices.flare,
  tieUp: fleetSlices.tieUp,
  harsh: fleetSlices.harsh,
  slow: fleetSlices.slow,
  incomplete: fleetSlices.incomplete,
  clean: fleetSlices.clean,
  flareMeasured: fleetSlices.flareMeasured,
  tieUpMeasured: fleetSlices.tieUpMeasured,
  harshMeasured: fleetSlices.harshMeasured,
  slowMeasured: fleetSlices.slowMeasured,
};

const total = (column: (typeof fleetSlices)[keyof OutcomeCounts]) => sql<number>`coalesce(sum(${column}), 0)`;

/** Sums over summary rows, for a `select` with or without `groupBy`. */
export const sumColumns = {
  shifts: total(fleetSlices.shifts),
  flare: total(fleetSlices.flare),
  tieUp: total(fleetSlices.tieUp),
  harsh: total(fleetSlices.harsh),
  slow: total(fleetSlices.slow),
  incomplete: total(fleetSlices.incomplete),
  clean: total(fleetSlices.clean),
  flareMeasured: total(fleetSlices.flareMeasured),
  tieUpMeasured: total(fleetSlices.tieUpMeasured),
  harshMeasured: total(fleetSlices.harshMeasured),
  slowMeasured: total(fleetSlices.slowMeasured),
};

export const NO_OUTCOMES: OutcomeCounts = {
  shifts: 0,
  flare: 0,
  tieUp: 0,
  harsh: 0,
  slow: 0,
  incomplete: 0,
  clean: 0,
  flareMeasured: 0,
  tieUpMeasured: 0,
  harshMeasured: 0,
  slowMeasured: 0,
};

/**
 * The counts of a packed summary by name: the first at `at`, each next one `stride` further, in the order of
 * `SLICE_COUNTS`. Written out, because a page may be made of a hundred thousand of them.
 */
export function toCounts(counts: ArrayLike<number>, at = 0, stride = 1): OutcomeCounts {
  return {
    shifts: counts[at],
    flare: counts[at + stride],
    tieUp: counts[at + 2 * stride],
    harsh: counts[at + 3 * stride],
    slow: counts[at + 4 * stride],
    incomplete: counts[at + 5 * stride],
    clean: counts[at + 6 * stride],
    flareMeasured: counts[at + 7 * stride],
    tieUpMeasured: counts[at + 8 * stride],
    harshMeasured: counts[at + 9 * stride],
    slowMeasured: counts[at + 10 * stride],
  };
}
