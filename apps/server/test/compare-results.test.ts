import type { Grade, Shift } from '@syncline/shifts';
import type { NewShift } from '@syncline/store';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { compareResults, pairResults } from '../src/jobs/compare-results.js';

type Graded = Pick<NewShift, 'shift' | 'grades'>;

function graded(kind: string, commandS: number, ...grades: Grade[]): Graded {
  const measures = { tieUpDepth: 0.2, peakJerk: null, inertiaTimeS: 0.4 };
  return { shift: { kind, commandS, inertiaStartS: commandS + 0.3, measures } as unknown as Shift, grades };
}

describe('the shifts of two results', () => {
  it('are the same where kind and command agree, else found or lost', () => {
    const before = [graded('1-2', 4, 'clean'), graded('2-3', 8, 'flare'), graded('3-4', 12, 'clean')];
    const after = [graded('1-2', 4.2, 'flare'), graded('2-3', 8, 'flare'), graded('3-2', 12, 'clean')];
    const changes = compareResults(before, after);
    expect(changes['1-2']).toMatchObject({
      found: 0,
      lost: 0,
      regraded: 1,
      gained: { flare: 1 },
      dropped: { clean: 1 },
    });
    expect(changes['2-3']).toMatchObject({ found: 0, lost: 0, regraded: 0, gained: {}, dropped: {} });
    expect(changes['3-4']).toMatchObject({ found: 0, lost: 1, before: { shifts: 1 }, after: { shifts: 0 } });
    expect(changes['3-2']).toMatchObject({ found: 1, lost: 0, before: { shifts: 0 }, after: { shifts: 1 } });
  });

  it('are matched with the nearest, each once', () => {
    const before = [graded('1-2', 4, 'clean'), graded('1-2', 4.45, 'slow')];
    const pairs = pairResults(before, [graded('1-2', 4.4, 'harsh')]);
    expect(pairs.map((pair) => [pair.before?.grades, pair.after?.grades])).toEqual([
      [['clean'], undefined],
      [['slow'], ['harsh']],
    ]);
  });

  it('count in trials only where the log could tell', () => {
    const { '1-2': change } = compareResults([], [graded('1-2', 4, 'clean'), graded('1-2', 9, 'flare')]);
    expect(change?.after).toEqual({
      shifts: 2,
      flare: 1,
      tieUp: 0,
      harsh: 0,
      slow: 0,
      incomplete: 0,
      clean: 1,
      flareMeasured: 2,
      tieUpMeasured: 2,
      harshMeasured: 0,
      slowMeasured: 2,
    });
  });

  it('of one result do not change, and of any two add up', () => {
    const shift = fc
      .record({
        kind: fc.constantFrom('1-2', '2-1'),
        commandS: fc.double({ min: 0, max: 20, noNaN: true }),
        grades: fc.subarray<Grade>(['flare', 'harsh']),
      })
      .map(({ kind, commandS, grades }) => graded(kind, commandS, ...grades));
    const result = fc.array(shift, { maxLength: 12 });
    fc.assert(
      fc.property(result, result, (before, after) => {
        for (const { found, lost, regraded } of Object.values(compareResults(before, before))) {
          expect([found, lost, regraded]).toEqual([0, 0, 0]);
        }
        for (const change of Object.values(compareResults(before, after))) {
          expect(change.after.shifts - change.found).toBe(change.before.shifts - change.lost);
          expect(change.regraded).toBeLessThanOrEqual(change.after.shifts - change.found);
        }
      }),
    );
  });
});
