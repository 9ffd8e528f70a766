import { and, type SQL } from 'drizzle-orm';
import type { SQLiteColumn } from 'drizzle-orm/sqlite-core';
import type { Scope } from '../actor.js';
import type { Db } from '../database/context.js';
import type { SummaryReader } from '../fleet/summary-reader.js';
import { shifts } from '../schema/shifts.js';
import { COUNTED_LIMIT, countShifts, samplingOf } from './shift-counts.js';
import { bandsAskedBy, whereDrive, whereFilter, whereScope } from './shift-where.js';
import type { ShiftDistribution, ShiftFilter, ShiftQuantity } from './shifts.js';

const COLUMN_OF = {
  flareRpm: shifts.flareRpm,
  flareMs: shifts.flareMs,
  shiftTimeS: shifts.shiftTimeS,
  inertiaTimeS: shifts.inertiaTimeS,
  delayS: shifts.delayS,
  peakJerk: shifts.peakJerk,
  peakToPeakAcceleration: shifts.peakToPeakAcceleration,
  tieUpDepth: shifts.tieUpDepth,
  slipEnergyJ: shifts.slipEnergyJ,
  demandRatio: shifts.demandRatio,
  load: shifts.load,
  inputSpeedRpm: shifts.inputSpeedRpm,
  fluidTemperatureC: shifts.fluidTemperatureC,
} satisfies Record<ShiftQuantity, SQLiteColumn>;

/** Bins across the middle 98 % of the values; outliers may need more, up to the second. */
const BINS = 24;
const MAX_BINS = 120;
/** Finer than any quantity is measured: values that differ by less are one. */
const FINEST_BIN = 1e-9;

/** See `ShiftReads.distribution`. @param limit of shifts that are gone through, about */
export function shiftDistribution(
  db: Db,
  summaries: SummaryReader,
  scope: Scope,
  { quantity, ...filter }: ShiftFilter & { readonly quantity: ShiftQuantity },
  limit = COUNTED_LIMIT,
): ShiftDistribution {
  const everyNthDrive = bandsAskedBy(filter)
    ? Math.max(1, Math.ceil(countShifts(db, summaries, scope, filter) / limit))
    : samplingOf(db, scope, filter, limit);
  const where = and(whereFilter(filter), whereScope(scope), whereDrive(everyNthDrive));
  const { values, unmeasured } = readValues(db, COLUMN_OF[quantity], where);
  const at = (share: number) => (values.length === 0 ? null : values[Math.floor(share * (values.length - 1))]);
  const { edges, counts } = binsOf(values);
  return {
    everyNthDrive,
    edges,
    counts: counts.map((found) => found * everyNthDrive),
    measuredCount: values.length * everyNthDrive,
    unmeasuredCount: unmeasured * everyNthDrive,
    p05: at(0.05),
    p50: at(0.5),
    p95: at(0.95),
  };
}

/** In rising order. */
function readValues(db: Db, column: SQLiteColumn, where: SQL | undefined) {
  const query = db.select({ value: column }).from(shifts).where(where).toSQL();
  const statement = db.$client.prepare<unknown[], number | null>(query.sql).pluck();
  const values: number[] = [];
  let unmeasured = 0;
  for (const value of statement.iterate(...query.params)) {
    if (value === null) unmeasured += 1;
    else values.push(value);
  }
  return { values: Float64Array.from(values).sort(), unmeasured };
}

/** Bins of one round width that hold every value. @param values in rising order */
export function binsOf(values: Float64Array): { edges: number[]; counts: number[] } {
  if (values.length === 0) return { edges: [0, 1], counts: [0] };
  const [low, high] = [values[0], values[values.length - 1]];
  const at = (share: number) => values[Math.floor(share * (values.length - 1))];
  const middle = at(0.99) - at(0.01) || high - low || 1;
  const width = roundUp(Math.max(middle / BINS, (high - low) / (MAX_BINS - 2), FINEST_BIN));
  const first = Math.floor(low / width);
  const counts = Array.from({ length: Math.floor(high / width) - first + 1 }, () => 0);
  for (const value of values) counts[Math.min(counts.length - 1, Math.floor(value / width) - first)] += 1;
  // Written as quotients where the width is below 1, so that 3 tenths are 0.3.
  const edge = (i: number) => (width < 1 ? (first + i) / Math.round(1 / width) : (first + i) * width);
  return { edges: Array.from({ length: counts.length + 1 }, (_, i) => edge(i)), counts };
}

/** The next of 1, 2 and 5 times a power of ten. */
function roundUp(width: number): number {
  const power = 10 ** Math.floor(Math.log10(width));
  const step = [1, 2, 5, 10].find((one) => one * power >= width * (1 - 1e-9)) ?? 10;
  return step * power;
}
