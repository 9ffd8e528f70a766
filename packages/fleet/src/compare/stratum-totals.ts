import type { OutcomeTable } from './outcome-table.js';

/** Sums over vehicles, one element per stratum of the table. */
export interface StratumTotals {
  readonly olderShifts: Float64Array;
  readonly olderEvents: Float64Array;
  readonly newerShifts: Float64Array;
  readonly newerEvents: Float64Array;
}

/** Sums over strata, one element per vehicle of the table. */
export type VehicleTotals = StratumTotals;

/** Adds the table's entries up over vehicles. O(entries). */
export function sumByStratum(table: OutcomeTable): StratumTotals {
  const totals = emptyTotals(table.strata.length);
  const { stratum, olderShifts: n0, olderEvents: x0, newerShifts: n1, newerEvents: x1 } = table;
  const { olderShifts, olderEvents, newerShifts, newerEvents } = totals;
  for (let entry = 0; entry < stratum.length; entry += 1) {
    const k = stratum[entry];
    olderShifts[k] += n0[entry];
    olderEvents[k] += x0[entry];
    newerShifts[k] += n1[entry];
    newerEvents[k] += x1[entry];
  }
  return totals;
}

function emptyTotals(length: number) {
  const make = () => new Float64Array(length);
  return { olderShifts: make(), olderEvents: make(), newerShifts: make(), newerEvents: make() };
}

/** Adds the table's entries up over strata. O(entries). */
export function sumByVehicle({ vehicles, vehicleStart, ...columns }: OutcomeTable): VehicleTotals {
  const totals = emptyTotals(vehicles.length);
  for (let vehicle = 0; vehicle < vehicles.length; vehicle += 1) {
    const [start, end] = [vehicleStart[vehicle], vehicleStart[vehicle + 1]];
    totals.olderShifts[vehicle] = sumRange(columns.olderShifts, start, end);
    totals.olderEvents[vehicle] = sumRange(columns.olderEvents, start, end);
    totals.newerShifts[vehicle] = sumRange(columns.newerShifts, start, end);
    totals.newerEvents[vehicle] = sumRange(columns.newerEvents, start, end);
  }
  return totals;
}

/** Of all values. */
export function sum(values: Float64Array | Uint8Array): number {
  return sumRange(values, 0, values.length);
}

function sumRange(values: Float64Array | Uint8Array, start: number, end: number): number {
  let total = 0;
  for (let i = start; i < end; i += 1) total += values[i];
  return total;
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
