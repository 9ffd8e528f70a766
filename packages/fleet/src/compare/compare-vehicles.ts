import { newcombeDifference } from '../rates/newcombe-difference.js';
import { normalCritical } from '../special/normal.js';
import { RiskDifferenceSums } from './mantel-haenszel.js';
import type { OutcomeTable } from './outcome-table.js';
import { isCommonStratum, type StratumTotals, sumByStratum } from './stratum-totals.js';

/** What one vehicle did under the two revisions of a comparison. */
export interface VehicleComparison {
  readonly vehicle: string | number;
  readonly older: { readonly shifts: number; readonly events: number };
  readonly newer: { readonly shifts: number; readonly events: number };
  /** Newer minus older over the strata that this vehicle itself drove under both; null without any. */
  readonly difference: { readonly difference: number; readonly low: number; readonly high: number } | null;
  /** Share of the vehicle in the adjusted difference of all; they add up to 1 where there is one. */
  readonly weight: number;
}

/**
 * A comparison taken apart by vehicle. The difference of a vehicle is Mantel–Haenszel's within it, with Sato's variance
 * for independent shifts; where no or every shift was an event, and so no variance, Newcombe's interval of the pooled
 * counts. Its weight is that of the common strata (n0 n1 / (n0 + n1)), each divided among vehicles by their mean share
 * of its shifts under the two revisions. O(entries).
 */
export function compareVehicles(table: OutcomeTable, { confidence = 0.95 } = {}): VehicleComparison[] {
  const totals = sumByStratum(table);
  const weights = table.vehicles.map((_, vehicle) => weightOf(table, totals, vehicle));
  const all = weights.reduce((sum, weight) => sum + weight, 0);
  return table.vehicles.map((vehicle, j) => ({
    vehicle,
    older: sumEntries(table, j, table.olderShifts, table.olderEvents),
    newer: sumEntries(table, j, table.newerShifts, table.newerEvents),
    difference: differenceWithin(table, j, confidence),
    weight: all === 0 ? 0 : weights[j] / all,
  }));
}

function weightOf(table: OutcomeTable, totals: StratumTotals, vehicle: number): number {
  let weight = 0;
  for (let entry = table.vehicleStart[vehicle]; entry < table.vehicleStart[vehicle + 1]; entry++) {
    const k = table.stratum[entry];
    if (!isCommonStratum(totals, k)) continue;
    const [n0, n1] = [totals.olderShifts[k], totals.newerShifts[k]];
    weight += (table.olderShifts[entry] * n1 + table.newerShifts[entry] * n0) / (2 * (n0 + n1));
  }
  return weight;
}

function sumEntries(table: OutcomeTable, vehicle: number, shifts: Float64Array, events: Float64Array) {
  const sum = { shifts: 0, events: 0 };
  for (let entry = table.vehicleStart[vehicle]; entry < table.vehicleStart[vehicle + 1]; entry++) {
    sum.shifts += shifts[entry];
    sum.events += events[entry];
  }
  return sum;
}

function differenceWithin(table: OutcomeTable, vehicle: number, confidence: number): VehicleComparison['difference'] {
  const sums = new RiskDifferenceSums();
  const [newer, older] = [
    { events: 0, trials: 0 },
    { events: 0, trials: 0 },
  ];
  for (let entry = table.vehicleStart[vehicle]; entry < table.vehicleStart[vehicle + 1]; entry++) {
    if (table.olderShifts[entry] === 0 || table.newerShifts[entry] === 0) continue;
    newer.events += table.newerEvents[entry];
    newer.trials += table.newerShifts[entry];
    older.events += table.olderEvents[entry];
    older.trials += table.olderShifts[entry];
    sums.add(table.newerEvents[entry], table.newerShifts[entry], table.olderEvents[entry], table.olderShifts[entry]);
  }
  if (older.trials === 0) return null;
  const { difference, satoError } = sums.difference();
  const z = normalCritical(confidence);
  if (satoError === 0) {
    const { low, high } = newcombeDifference(newer, older, z);
    return { difference, low, high };
  }
  return {
    difference,
    low: Math.max(-1, difference - z * satoError),
    high: Math.min(1, difference + z * satoError),
  };
}
