import { newcombeDifference } from '../rates/newcombe-difference.js';
import { normalCritical } from '../special/normal.js';
import { RiskDifferenceSums } from './mantel-haenszel.js';
import type { OutcomeTable } from './outcome-table.js';
import { type StratumTotals, sumTable } from './stratum-totals.js';

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
  const { ofStrata, ofVehicles } = sumTable(table);
  const weights = table.vehicles.map((_, vehicle) => weightOf(table, ofStrata, vehicle));
  const all = weights.reduce((sum, weight) => sum + weight, 0);
  return table.vehicles.map((vehicle, j) => ({
    vehicle,
    older: { shifts: ofVehicles.olderShifts[j], events: ofVehicles.olderEvents[j] },
    newer: { shifts: ofVehicles.newerShifts[j], events: ofVehicles.newerEvents[j] },
    difference: differenceWithin(table, j, confidence),
    weight: all === 0 ? 0 : weights[j] / all,
  }));
}

function weightOf(table: OutcomeTable, totals: StratumTotals, vehicle: number): number {
  const { vehicleStart, stratum, olderShifts, newerShifts } = table;
  const { olderShifts: allOlder, newerShifts: allNewer } = totals;
  let weight = 0;
  const end = vehicleStart[vehicle + 1];
  for (let entry = vehicleStart[vehicle]; entry < end; entry++) {
    const k = stratum[entry];
    const n0 = allOlder[k];
    const n1 = allNewer[k];
    if (n0 === 0 || n1 === 0) continue;
    weight += (olderShifts[entry] * n1 + newerShifts[entry] * n0) / (2 * (n0 + n1));
  }
  return weight;
}

function differenceWithin(table: OutcomeTable, vehicle: number, confidence: number): VehicleComparison['difference'] {
  const { vehicleStart, olderShifts, olderEvents, newerShifts, newerEvents } = table;
  const sums = new RiskDifferenceSums();
  const newer = { events: 0, trials: 0 };
  const older = { events: 0, trials: 0 };
  const end = vehicleStart[vehicle + 1];
  for (let entry = vehicleStart[vehicle]; entry < end; entry++) {
    const n0 = olderShifts[entry];
    const n1 = newerShifts[entry];
    if (n0 === 0 || n1 === 0) continue;
    newer.events += newerEvents[entry];
    newer.trials += n1;
    older.events += olderEvents[entry];
    older.trials += n0;
    sums.add(newerEvents[entry], n1, olderEvents[entry], n0);
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
