import type { OutcomeMeasure, Rate } from '@syncline/contract';
import {
  type ClusteredRate,
  type CountColumns,
  clusteredRate,
  type EvidenceThresholds,
  type Share,
  wilsonInterval,
} from '@syncline/fleet';
import { NO_OUTCOMES, type OutcomeCounts, type VehicleCounts } from '@syncline/store';

/** A grade that rates are made of. */
export type CountedOutcome = 'flare' | 'tieUp' | 'harsh' | 'slow' | 'clean';

export const OUTCOME_OF_MEASURE: Readonly<Record<OutcomeMeasure, CountedOutcome>> = {
  flare: 'flare',
  'tie-up': 'tieUp',
  harsh: 'harsh',
  slow: 'slow',
};

/**
 * Which shifts a rate is out of: those in which the log could tell. Missing is not zero: where a tie-up cannot be
 * measured (a downshift, an unknown command, a noisy log), there is no evidence of none.
 */
const TRIALS_OF: Readonly<Record<CountedOutcome, keyof OutcomeCounts>> = {
  flare: 'flareMeasured',
  tieUp: 'tieUpMeasured',
  harsh: 'harshMeasured',
  slow: 'slowMeasured',
  clean: 'shifts',
};

/** What to count in packed summaries for the rate of a measure. */
export function shareOf(measure: OutcomeMeasure): Share {
  const events = OUTCOME_OF_MEASURE[measure];
  return { events, trials: TRIALS_OF[events] };
}

/** Shifts of these counts in which the outcome could be told. */
export function trialsOf(counts: OutcomeCounts, outcome: CountedOutcome): number {
  return counts[TRIALS_OF[outcome]];
}

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
  const witnesses = byVehicle.filter((counts) => trialsOf(counts, outcome) > 0);
  const events = witnesses.map((counts) => counts[outcome]);
  const trials = witnesses.map((counts) => trialsOf(counts, outcome));
  return columnsRate({ events, trials }, thresholds);
}

/** The same from columns of events and trials with one entry per car. */
export function columnsRate(
  { events, trials }: { readonly [Name in keyof CountColumns]: ArrayLike<number> },
  thresholds: Partial<EvidenceThresholds> = {},
): Rate {
  const found = Array.from(events).reduce((sum, count) => sum + count, 0);
  return toRate(clusteredRate({ events, trials }, thresholds), found);
}

/** A rate with the events that it was found from. */
export function toRate(rate: ClusteredRate, events: number): Rate {
  if (rate.kind === 'estimate') return pick(rate);
  const { shifts, vehicles, neededShifts, neededVehicles } = rate;
  return { kind: 'insufficient', events, shifts, vehicles, neededShifts, neededVehicles };
}

/** Rate of one car. Its shifts are the whole of what is asked about, so that no clustering enters. */
export function carRate(counts: OutcomeCounts, outcome: CountedOutcome, z = Z_95): Rate {
  const events = counts[outcome];
  const shifts = trialsOf(counts, outcome);
  const base = { events, shifts, vehicles: shifts > 0 ? 1 : 0 };
  if (shifts < MIN_SHIFTS_OF_CAR) {
    return { kind: 'insufficient', ...base, neededShifts: MIN_SHIFTS_OF_CAR, neededVehicles: 1 };
  }
  return { kind: 'estimate', ...base, rate: events / shifts, ...wilsonInterval({ events, trials: shifts, z }) };
}

/** The counts of each car over all rows of it. */
export function sumByVehicle(rows: readonly VehicleCounts[]): VehicleCounts[] {
  const byVehicle = groupBy(rows, ({ vehicleId }) => vehicleId);
  return [...byVehicle].map(([vehicleId, ofVehicle]) => ({ ...sumCounts(ofVehicle), vehicleId }));
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

const COUNT_KEYS = Object.keys(NO_OUTCOMES) as (keyof OutcomeCounts)[];

/** Counts over all rows. */
export function sumCounts(rows: readonly OutcomeCounts[]): OutcomeCounts {
  const totals = COUNT_KEYS.map((key) => [key, rows.reduce((sum, row) => sum + row[key], 0)]);
  return Object.fromEntries(totals) as unknown as OutcomeCounts;
}

function pick({ kind, events, shifts, vehicles, rate, low, high }: Extract<Rate, { kind: 'estimate' }>): Rate {
  return { kind, events, shifts, vehicles, rate, low, high };
}
