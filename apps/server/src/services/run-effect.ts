import type { EffectOnShifts, RunEffect } from '@syncline/contract';
import { GRADES, type Grade } from '@syncline/shifts';
import type { Candidate, GradeCounts, KindChange, OutcomeCounts, VehicleCounts } from '@syncline/store';
import { type CountedOutcome, fleetRate, groupBy, sumByVehicle } from './rates.js';

const COUNT_OF_GRADE: Readonly<Record<Grade, keyof OutcomeCounts>> = {
  clean: 'clean',
  flare: 'flare',
  'tie-up': 'tieUp',
  harsh: 'harsh',
  slow: 'slow',
  incomplete: 'incomplete',
};

/** One kind of shift in one log. */
interface Change extends KindChange {
  readonly kind: string;
  readonly vehicleId: string;
}

/** What the results that a run has so far change: counts of the same logs before and after. Kinds in the order given. */
export function computeRunEffect(candidates: readonly Candidate[], kindOrder: readonly string[]): RunEffect {
  const changes = candidates.flatMap(({ vehicleId, changes: byKind }) =>
    Object.entries(byKind).map(([kind, change]): Change => ({ ...change, kind, vehicleId })),
  );
  const byKind = groupBy(changes, ({ kind }) => kind);
  const kinds = [...kindOrder.filter((kind) => byKind.has(kind)), ...[...byKind.keys()].filter(isNotIn(kindOrder))];
  const count = (outcome: Candidate['outcome']) =>
    candidates.filter((candidate) => candidate.outcome === outcome).length;
  return {
    logs: {
      analysed: count('analysed'),
      regraded: count('regraded'),
      failed: count('failed'),
      changed: candidates.filter((candidate) => Object.values(candidate.changes).some(isChanged)).length,
    },
    total: effectOf(changes),
    kinds: kinds.map((kind) => ({ kind, ...effectOf(byKind.get(kind) ?? []) })),
  };
}

function effectOf(changes: readonly Change[]): EffectOnShifts {
  const before = sumByVehicle(changes.map((change): VehicleCounts => ({ ...change.before, ...change })));
  const after = sumByVehicle(changes.map((change): VehicleCounts => ({ ...change.after, ...change })));
  const rate = (outcome: CountedOutcome) => ({ before: fleetRate(before, outcome), after: fleetRate(after, outcome) });
  return {
    before: total(before, 'shifts'),
    after: total(after, 'shifts'),
    found: sum(changes, ({ found }) => found),
    lost: sum(changes, ({ lost }) => lost),
    regraded: sum(changes, ({ regraded }) => regraded),
    grades: GRADES.map((grade) => ({
      grade,
      before: total(before, COUNT_OF_GRADE[grade]),
      after: total(after, COUNT_OF_GRADE[grade]),
      gained: sum(changes, ({ gained }) => countOf(gained, grade)),
      dropped: sum(changes, ({ dropped }) => countOf(dropped, grade)),
    })),
    rates: {
      flare: rate('flare'),
      tieUp: rate('tieUp'),
      harsh: rate('harsh'),
      slow: rate('slow'),
      clean: rate('clean'),
    },
  };
}

function isChanged({ found, lost, regraded }: KindChange): boolean {
  return found + lost + regraded > 0;
}

function isNotIn(list: readonly string[]): (item: string) => boolean {
  return (item) => !list.includes(item);
}

function countOf(counts: GradeCounts, grade: Grade): number {
  return counts[grade] ?? 0;
}

function total(rows: readonly OutcomeCounts[], key: keyof OutcomeCounts): number {
  return sum(rows, (row) => row[key]);
}

function sum<T>(rows: readonly T[], valueOf: (row: T) => number): number {
  return rows.reduce((value, row) => value + valueOf(row), 0);
}
