import type { Grade } from '@syncline/shifts';
import type { KindChange, NewShift, ResultChanges } from '@syncline/store';
import { countOutcomes } from '../services/count-outcomes.js';

/**
 * Two analyses of one file speak of the same shift when its kind agrees and its command lies within this (s): far more
 * than a changed formula moves a command, and less than the time between two shifts of a kind (common practice).
 */
const SAME_SHIFT_S = 0.5;

type Graded = Pick<NewShift, 'shift' | 'grades'>;

/** A shift in two results; null where one of them has no counterpart. */
export interface ShiftPair<T extends Graded> {
  readonly before: T | null;
  readonly after: T | null;
}

/** The shifts of two results side by side, in the order of their commands; each has one counterpart at most. */
export function pairResults<T extends Graded>(before: readonly T[], after: readonly T[]): ShiftPair<T>[] {
  const unmatched = new Set(before);
  const pairs = after.map((shift): ShiftPair<T> => {
    const counterpart = nearest(shift, unmatched);
    if (counterpart) unmatched.delete(counterpart);
    return { before: counterpart ?? null, after: shift };
  });
  pairs.push(...[...unmatched].map((shift) => ({ before: shift, after: null })));
  return pairs.sort((a, b) => commandS(a) - commandS(b));
}

/** How the shifts of one log differ between two results, by kind. */
export function compareResults(before: readonly Graded[], after: readonly Graded[]): ResultChanges {
  const byKind = new Map<string, ShiftPair<Graded>[]>();
  for (const pair of pairResults(before, after)) {
    const kind = (pair.after ?? pair.before)?.shift.kind ?? '';
    byKind.set(kind, [...(byKind.get(kind) ?? []), pair]);
  }
  return Object.fromEntries([...byKind].map(([kind, pairs]) => [kind, compareKind(pairs)]));
}

function compareKind(pairs: readonly ShiftPair<Graded>[]): KindChange {
  const gained: Partial<Record<Grade, number>> = {};
  const dropped: Partial<Record<Grade, number>> = {};
  let regraded = 0;
  for (const { before, after } of pairs) {
    if (!before || !after) continue;
    const now = after.grades.filter((grade) => !before.grades.includes(grade));
    const only = before.grades.filter((grade) => !after.grades.includes(grade));
    for (const grade of now) gained[grade] = (gained[grade] ?? 0) + 1;
    for (const grade of only) dropped[grade] = (dropped[grade] ?? 0) + 1;
    if (now.length + only.length > 0) regraded += 1;
  }
  return {
    before: countOutcomes(pairs.flatMap(({ before }) => before ?? [])),
    after: countOutcomes(pairs.flatMap(({ after }) => after ?? [])),
    found: pairs.filter(({ before }) => before === null).length,
    lost: pairs.filter(({ after }) => after === null).length,
    regraded,
    gained,
    dropped,
  };
}

function nearest<T extends Graded>({ shift }: T, among: ReadonlySet<T>): T | undefined {
  let best: T | undefined;
  let bestS = Number.POSITIVE_INFINITY;
  for (const other of among) {
    const apartS = Math.abs(other.shift.commandS - shift.commandS);
    if (other.shift.kind !== shift.kind || apartS > SAME_SHIFT_S || apartS >= bestS) continue;
    best = other;
    bestS = apartS;
  }
  return best;
}

function commandS({ before, after }: ShiftPair<Graded>): number {
  return (after ?? before)?.shift.commandS ?? 0;
}
