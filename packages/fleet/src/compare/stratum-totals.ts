import type { OutcomeTable } from './outcome-table.js';

/** Sums over vehicles, one element per stratum of the table. */
export interface StratumTotals {
  readonly olderShifts: Float64Array;
  readonly olderEvents: Float64Array;
  readonly newerShifts: Float64Array;
  readonly newerEvents: Float64Array;
}

/** Adds the table's entries up over vehicles. O(entries). */
export function sumByStratum(table: OutcomeTable): StratumTotals {
  const size = table.strata.length;
  const totals = {
    olderShifts: new Float64Array(size),
    olderEvents: new Float64Array(size),
    newerShifts: new Float64Array(size),
    newerEvents: new Float64Array(size),
  };
  for (let entry = 0; entry < table.stratum.length; entry += 1) {
    const k = table.stratum[entry];
    totals.olderShifts[k] += table.olderShifts[entry];
    totals.olderEvents[k] += table.olderEvents[entry];
    totals.newerShifts[k] += table.newerShifts[entry];
    totals.newerEvents[k] += table.newerEvents[entry];
  }
  return totals;
}

/** Share of all shifts, of both revisions, that lie in strata driven under both; NaN without shifts. O(entries). */
export function overlapShare(table: OutcomeTable): number {
  const totals = sumByStratum(table);
  let [common, all] = [0, 0];
  for (let k = 0; k < totals.olderShifts.length; k += 1) {
    const shifts = totals.olderShifts[k] + totals.newerShifts[k];
    all += shifts;
    if (isCommonStratum(totals, k)) common += shifts;
  }
  return common / all;
}

/** Whether stratum k was driven under both revisions. */
export function isCommonStratum(totals: StratumTotals, k: number): boolean {
  return totals.olderShifts[k] > 0 && totals.newerShifts[k] > 0;
}
