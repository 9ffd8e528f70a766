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

export interface TableTotals {
  readonly ofStrata: StratumTotals;
  readonly ofVehicles: VehicleTotals;
}

/** Adds the table's entries up, over vehicles and over strata in one pass: O(entries). */
export function sumTable({ vehicles, strata, vehicleStart, stratum, ...entries }: OutcomeTable): TableTotals {
  const { olderShifts, olderEvents, newerShifts, newerEvents } = entries;
  const ofStrata = emptyTotals(strata.length);
  const ofVehicles = emptyTotals(vehicles.length);
  const { olderShifts: n0, olderEvents: x0, newerShifts: n1, newerEvents: x1 } = ofStrata;
  for (let vehicle = 0; vehicle < vehicles.length; vehicle += 1) {
    let older = 0;
    let olderCount = 0;
    let newer = 0;
    let newerCount = 0;
    const end = vehicleStart[vehicle + 1];
    for (let entry = vehicleStart[vehicle]; entry < end; entry += 1) {
      const k = stratum[entry];
      n0[k] += olderShifts[entry];
      x0[k] += olderEvents[entry];
      n1[k] += newerShifts[entry];
      x1[k] += newerEvents[entry];
      older += olderShifts[entry];
      olderCount += olderEvents[entry];
      newer += newerShifts[entry];
      newerCount += newerEvents[entry];
    }
    ofVehicles.olderShifts[vehicle] = older;
    ofVehicles.olderEvents[vehicle] = olderCount;
    ofVehicles.newerShifts[vehicle] = newer;
    ofVehicles.newerEvents[vehicle] = newerCount;
  }
  return { ofStrata, ofVehicles };
}

function emptyTotals(length: number) {
  const make = () => new Float64Array(length);
  return { olderShifts: make(), olderEvents: make(), newerShifts: make(), newerEvents: make() };
}

/** Of all values. */
export function sum(values: Float64Array | Uint8Array): number {
  let total = 0;
  for (let i = 0; i < values.length; i += 1) total += values[i];
  return total;
}

/** Share of all shifts, of both revisions, that lie in strata driven under both; NaN without shifts. O(entries). */
export function overlapShare(table: OutcomeTable): number {
  const totals = sumTable(table).ofStrata;
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
