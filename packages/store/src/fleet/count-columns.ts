import { sql } from 'drizzle-orm';
import { outcomeCounts } from '../schema/shifts.js';
import type { OutcomeCounts } from './fleet.js';

const total = (column: (typeof outcomeCounts)[keyof OutcomeCounts]) => sql<number>`coalesce(sum(${column}), 0)`;

/** Sums over summary rows, for a `select` with or without `groupBy`. */
export const sumColumns = {
  shifts: total(outcomeCounts.shifts),
  flare: total(outcomeCounts.flare),
  tieUp: total(outcomeCounts.tieUp),
  harsh: total(outcomeCounts.harsh),
  slow: total(outcomeCounts.slow),
  incomplete: total(outcomeCounts.incomplete),
  clean: total(outcomeCounts.clean),
  flareMeasured: total(outcomeCounts.flareMeasured),
  tieUpMeasured: total(outcomeCounts.tieUpMeasured),
  harshMeasured: total(outcomeCounts.harshMeasured),
  slowMeasured: total(outcomeCounts.slowMeasured),
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
