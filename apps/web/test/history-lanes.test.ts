import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type HistoryRow, historyRows, laneCount } from '../src/charts/history-lanes.js';

/** Revisions newest first from “child<parent” and “merge<parent<other” words. */
function history(...words: string[]) {
  return words.map((word) => {
    const [id = '', parentId = null, mergeParentId = null] = word.split('<');
    return { id, parentId, mergeParentId };
  });
}

const lanesOf = (rows: readonly HistoryRow[]) => Object.fromEntries(rows.map(({ id, lane }) => [id, lane]));

/** A history in which each revision was made from any earlier one, from two, or from none. */
const anyHistory = fc.array(fc.tuple(fc.nat(), fc.option(fc.nat())), { minLength: 1, maxLength: 25 }).map((choices) =>
  choices
    .map(([choice, other], i) => ({
      id: `r${i}`,
      parentId: i === 0 || choice % 7 === 0 ? null : `r${choice % i}`,
      mergeParentId: i === 0 || choice % 7 === 0 || other === null ? null : `r${other % i}`,
    }))
    .reverse(),
);

describe('lanes of a history', () => {
  it('a history without branches is one straight line', () => {
    const rows = historyRows(history('c<b', 'b<a', 'a'));
    expect(rows).toEqual([
      { id: 'c', lane: 0, fromChildren: [], hasParent: true, toMergeParent: null, passing: [] },
      { id: 'b', lane: 0, fromChildren: [0], hasParent: true, toMergeParent: null, passing: [] },
      { id: 'a', lane: 0, fromChildren: [0], hasParent: false, toMergeParent: null, passing: [] },
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

  it('a merge has two lines, and the second joins the lane that leads to its parent already', () => {
    const rows = historyRows(history('e<b', 'd<c<b', 'c<a', 'b<a', 'a'));
    expect(lanesOf(rows)).toMatchObject({ e: 0, d: 1, b: 0 });
    expect(rows[1]?.toMergeParent).toBe(0);
    const opened = historyRows(history('d<c<b', 'c<a', 'b<a', 'a'));
    expect(opened[0]).toMatchObject({ lane: 0, toMergeParent: 1 });
    expect(opened[1]).toMatchObject({ lane: 0, passing: [1] });
    expect(opened[2]).toMatchObject({ lane: 1, fromChildren: [1] });
    expect(laneCount(opened)).toBe(2);
  });

  it('the second line of a merge goes on until it ends in the dot of the other parent', () => {
    fc.assert(
      fc.property(anyHistory, (revisions) => {
        const rows = historyRows(revisions);
        rows.forEach(({ toMergeParent }, i) => {
          const { parentId, mergeParentId } = revisions[i]!;
          expect(toMergeParent !== null).toBe(mergeParentId !== null && mergeParentId !== parentId);
          if (toMergeParent === null) return;
          const at = rows.findIndex(({ id }) => id === mergeParentId);
          expect(rows[at]?.fromChildren).toContain(toMergeParent);
          for (const between of rows.slice(i + 1, at)) expect(between.passing).toContain(toMergeParent);
        });
      }),
    );
  });
});
