import type { OutcomeMeasure, Rate } from '@syncline/contract';
import { clusteredRate, type EvidenceThresholds, wilsonInterval } from '@syncline/fleet';
import type { OutcomeCounts, VehicleCounts } from '@syncline/store';

/** A grade that rates are made of. */
export type CountedOutcome = 'flare' | 'tieUp' | 'harsh' | 'slow' | 'clean';

export const OUTCOME_OF_MEASURE: Readonly<Record<OutcomeMeasure, CountedOutcome>> = {
  flare: 'flare',
  'tie-up': 'tieUp',
  harsh: 'harsh',
  slow: 'slow',
};

/** One car is asked for less than a fleet: its interval is shown, and it is not spoken for others. */
const MIN_SHIFTS_OF_CAR = 10;

/** Two-sided 95 %. */
const Z_95 = 1.959963984540054;

/** Rate over several cars, its interval clustered by car (methods.md 7). One entry per car. */
export function fleetRate(
  byVehicle: readonly OutcomeCounts[],
  outcome: CountedOutcome,
  thresholds: Partial<EvidenceThresholds> = {},
): Rate {
  const events = byVehicle.map((counts) => counts[outcome]);
  const rate = clusteredRate({ events, trials: byVehicle.map((counts) => counts.shifts) }, thresholds);
  return rate.kind === 'estimate'
    ? pick(rate)
    : {
        kind: 'insufficient',
        events: events.reduce((sum, count) => sum + count, 0),
        shifts: rate.shifts,
        vehicles: rate.vehicles,
        neededShifts: rate.neededShifts,
        neededVehicles: rate.neededVehicles,
      };
}

/** Rate of one car. Its shifts are the whole of what is asked about, so that no clustering enters. */
export function carRate(counts: OutcomeCounts, outcome: CountedOutcome, z = Z_95): Rate {
  const { shifts, [outcome]: events } = counts;
  const base = { events, shifts, vehicles: shifts > 0 ? 1 : 0 };
  if (shifts < MIN_SHIFTS_OF_CAR) {
    return { kind: 'insufficient', ...base, neededShifts: MIN_SHIFTS_OF_CAR, neededVehicles: 1 };
  }
  return { kind: 'estimate', ...base, rate: events / shifts, ...wilsonInterval({ events, trials: shifts, z }) };
}

/** The counts of each car over all rows of it. */
export function sumByVehicle(rows: readonly VehicleCounts[]): VehicleCounts[] {
  const sums = new Map<string, VehicleCounts>();
  for (const row of rows) sums.set(row.vehicleId, addCounts(sums.get(row.vehicleId), row));
  return [...sums.values()];
}

/** Rows by a key, in the order of first appearance. */
export function groupBy<T>(rows: readonly T[], keyOf: (row: T) => string): Map<string, T[]> {
  const groups = new Map<string, T[]>();
  for (const row of rows) {
    const key = keyOf(row);
    const group = groups.get(key);
    if (group) group.push(row);
    else groups.set(key, [row]);
  }
  return groups;
}

/** Outcome over every shift in the rows, by the grades that a revision is judged by. */
export function outcomeOf(rows: readonly VehicleCounts[]) {
  const byVehicle = sumByVehicle(rows);
  return {
    flare: fleetRate(byVehicle, 'flare'),
    tieUp: fleetRate(byVehicle, 'tieUp'),
    harsh: fleetRate(byVehicle, 'harsh'),
    slow: fleetRate(byVehicle, 'slow'),
    clean: fleetRate(byVehicle, 'clean'),
  };
}

function addCounts(sum: VehicleCounts | undefined, row: VehicleCounts): VehicleCounts {
  if (!sum) return row;
  return {
    vehicleId: row.vehicleId,
    shifts: sum.shifts + row.shifts,
    flare: sum.flare + row.flare,
    tieUp: sum.tieUp + row.tieUp,
    harsh: sum.harsh + row.harsh,
    slow: sum.slow + row.slow,
    incomplete: sum.incomplete + row.incomplete,
    clean: sum.clean + row.clean,
  };
}

function pick({ kind, events, shifts, vehicles, rate, low, high }: Extract<Rate, { kind: 'estimate' }>): Rate {
  return { kind, events, shifts, vehicles, rate, low, high };
}
