import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type HistoryRow, historyRows, laneCount } from '../src/charts/history-lanes.js';

/** Revisions newest first from “child<parent” words. */
function history(...words: string[]) {
  return words.map((word) => {
    const [id = '', parentId = null] = word.split('<');
    return { id, parentId };
  });
}

const lanesOf = (rows: readonly HistoryRow[]) => Object.fromEntries(rows.map(({ id, lane }) => [id, lane]));

/** A history in which each revision was made from any earlier one, or from none. */
const anyHistory = fc
  .array(fc.nat(), { minLength: 1, maxLength: 25 })
  .map((choices) =>
    choices
      .map((choice, i) => ({ id: `r${i}`, parentId: i === 0 || choice % 7 === 0 ? null : `r${choice % i}` }))
      .reverse(),
  );

describe('lanes of a history', () => {
  it('a history without branches is one straight line', () => {
    const rows = historyRows(history('c<b', 'b<a', 'a'));
    expect(rows).toEqual([
      { id: 'c', lane: 0, fromChildren: [], hasParent: true, passing: [] },
      { id: 'b', lane: 0, fromChildren: [0], hasParent: true, passing: [] },
      { id: 'a', lane: 0, fromChildren: [0], hasParent: false, passing: [] },
    ]);
    expect(laneCount(rows)).toBe(1);
  });

  it('two children of one parent stand side by side and meet at it', () => {
    const rows = historyRows(history('d<b', 'c<b', 'b<a', 'a'));
    expect(lanesOf(rows)).toEqual({ d: 0, c: 1, b: 0, a: 0 });
    expect(rows[1]).toMatchObject({ passing: [0], fromChildren: [] });
    expect(rows[2]).toMatchObject({ fromChildren: [0, 1], passing: [] });
  });

  it('a lane that has ended is used again', () => {
    const rows = historyRows(history('f<e', 'e<b', 'd<b', 'c<b', 'b<a', 'a'));
    expect(lanesOf(rows)).toEqual({ f: 0, e: 0, d: 1, c: 2, b: 0, a: 0 });
    expect(laneCount(historyRows(history('e<d', 'x<d', 'd', 'c<b', 'y<b', 'b')))).toBe(2);
  });

  it('a parent that is not in the list ends its line', () => {
    expect(historyRows(history('b<elsewhere'))[0]).toMatchObject({ hasParent: false });
  });

  it('every line goes on until it ends in the dot of the parent, and no two share a lane', () => {
    fc.assert(
      fc.property(anyHistory, (revisions) => {
        const rows = historyRows(revisions);
        rows.forEach((row, i) => {
          expect(new Set([row.lane, ...row.passing]).size).toBe(1 + row.passing.length);
          const at = rows.findIndex(({ id }) => id === revisions[i]?.parentId);
          expect(row.hasParent).toBe(at !== -1);
          if (!row.hasParent) return;
          expect(rows[at]?.fromChildren).toContain(row.lane);
          for (const between of rows.slice(i + 1, at)) expect(between.passing).toContain(row.lane);
        });
      }),
    );
  });

  it('there are as many line ends as revisions with a parent', () => {
    fc.assert(
      fc.property(anyHistory, (revisions) => {
        const rows = historyRows(revisions);
        const ends = rows.reduce((sum, { fromChildren }) => sum + fromChildren.length, 0);
        expect(ends).toBe(revisions.filter(({ parentId }) => parentId !== null).length);
      }),
    );
  });
});
