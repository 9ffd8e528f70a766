import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  applyDifference,
  type ContentMerge,
  contentHash,
  defaultContent,
  differenceOf,
  type HistoryNode,
  type MergeChoice,
  mergeBase,
  mergeContents,
  type RevisionContent,
  resolveMerge,
} from '../src/index.js';
import { anyContent, contentWith, layout, platform } from './example.js';
import { refusalOf } from './refusal.js';

const base = contentWith({ hold: { '1': [400, 800, 1400], '2': [300, 500, 700] }, offset: { all: [0] } });
const merge = (ours: RevisionContent, theirs: RevisionContent, from = base): ContentMerge =>
  mergeContents(layout, platform, from, ours, theirs);
const withHold = (values: Record<string, readonly number[]>, from = base) =>
  withTable('hold', { values: { ...from.tables.hold.values, ...values } }, from);

function withTable(id: string, parts: object, from = base): RevisionContent {
  return { ...from, tables: { ...from.tables, [id]: { ...from.tables[id], ...parts } } };
}

/** Contents made from `base` by changing some cells of one third of the tables' cells each, so that no cell is changed by two. */
const threeParts = fc.tuple(anyContent, anyContent, fc.nat({ max: 2 })).map(([one, two, shift]) => {
  const from = defaultContent(layout, platform);
  const pick = (content: RevisionContent, share: number): RevisionContent => ({
    ...from,
    tables: Object.fromEntries(
      Object.entries(from.tables).map(([id, table]) => {
        const values = Object.entries(table.values).map(([variant, cells]) => [
          variant,
          cells.map((cell, i) => ((i + shift) % 3 === share ? content.tables[id].values[variant][i] : cell)),
        ]);
        return [id, { ...table, values: Object.fromEntries(values) }];
      }),
    ),
  });
  return { from, ours: pick(one, 0), theirs: pick(two, 1) };
});

describe('mergeContents', () => {
  it('takes each cell from the side that changed it', () => {
    const ours = withHold({ '1': [410, 800, 1400] });
    const theirs = withHold({ '1': [400, 800, 1300], '2': [310, 500, 700] });
    const { content, conflicts, taken } = merge(ours, theirs);
    expect(conflicts).toEqual([]);
    expect(content).toEqual(withHold({ '1': [410, 800, 1300], '2': [310, 500, 700] }));
    expect(taken).toEqual({ ours: 1, theirs: 2, both: 0 });
  });

  it('takes what both changed alike, and asks about what they changed differently', () => {
    const ours = withHold({ '2': [310, 520, 700] });
    const theirs = withHold({ '2': [310, 490, 700] });
    const { content, conflicts, taken } = merge(ours, theirs);
    expect(content).toEqual(withHold({ '2': [310, 500, 700] }));
    expect(taken).toEqual({ ours: 0, theirs: 0, both: 1 });
    expect(conflicts).toEqual([
      {
        kind: 'cell',
        id: 'hold/2/1',
        tableId: 'hold',
        variant: '2',
        cellIndex: 1,
        cell: { row: 0, column: 1 },
        base: 500,
        ours: 520,
        theirs: 490,
      },
    ]);
  });

  it('takes a table with moved break points whole where the other side left the table alone', () => {
    const ours = withTable('byFluid', { axes: [[-30, 0, 100]], values: { all: [1.3, 1.1, 0.9] } });
    const theirs = withHold({ '2': [310, 500, 700] });
    const { content, conflicts, taken } = merge(ours, theirs);
    expect(conflicts).toEqual([]);
    expect(content.tables.byFluid).toEqual(ours.tables.byFluid);
    expect(content.tables.hold).toEqual(theirs.tables.hold);
    expect(taken).toEqual({ ours: 1, theirs: 1, both: 0 });
  });

  it.each<[string, object]>([
    ['the other side changed a cell', { values: { all: [1, 1, 1.05] } }],
    ['the other side moved break points too', { axes: [[-10, 20, 90]] }],
  ])('makes a table with moved break points one conflict where %s', (_, parts) => {
    const ours = withTable('byFluid', { axes: [[-30, 0, 100]], values: { all: [1.3, 1.1, 0.9] } });
    const theirs = withTable('byFluid', parts);
    const { content, conflicts } = merge(ours, theirs);
    expect(content).toEqual(base);
    expect(conflicts).toEqual([
      {
        kind: 'axis',
        id: 'byFluid',
        tableId: 'byFluid',
        base: base.tables.byFluid,
        ours: ours.tables.byFluid,
        theirs: theirs.tables.byFluid,
      },
    ]);
  });

  it('takes break points that both moved alike, with the same values', () => {
    const moved = withTable('byFluid', { axes: [[-30, 0, 100]] });
    expect(merge(moved, structuredClone(moved))).toMatchObject({ content: moved, conflicts: [], taken: { both: 1 } });
  });

  it('gives what one side made when the other did nothing, and what both made when both made the same', () => {
    fc.assert(
      fc.property(anyContent, anyContent, (from, other) => {
        for (const [ours, theirs] of [
          [from, other],
          [other, from],
          [other, structuredClone(other)],
        ]) {
          const { content, conflicts } = merge(ours, theirs, from);
          expect(conflicts).toEqual([]);
          expect(contentHash(content)).toBe(contentHash(other));
        }
      }),
      { numRuns: 40 },
    );
  });

  it('gives the same content and mirrored conflicts when the sides are exchanged', () => {
    fc.assert(
      fc.property(anyContent, anyContent, anyContent, (from, ours, theirs) => {
        const [one, two] = [merge(ours, theirs, from), merge(theirs, ours, from)];
        expect(one.content).toEqual(two.content);
        expect(one.conflicts).toEqual(
          two.conflicts.map((conflict) => ({ ...conflict, ours: conflict.theirs, theirs: conflict.ours })),
        );
        const swapped = { ours: two.taken.theirs, theirs: two.taken.ours, both: two.taken.both };
        expect(one.taken).toEqual(swapped);
      }),
      { numRuns: 40 },
    );
  });

  it('has no conflict and both changes where no cell was changed twice, and merging again changes nothing', () => {
    fc.assert(
      fc.property(threeParts, ({ from, ours, theirs }) => {
        const { content, conflicts } = merge(ours, theirs, from);
        expect(conflicts).toEqual([]);
        // Independent of the merge: the difference of theirs put cell by cell onto ours.
        const expected = { ...ours, tables: { ...ours.tables } };
        for (const { tableId, variant, absolute, otherValues } of differenceOf(layout, platform, from, theirs)) {
          const table = expected.tables[tableId];
          const values = table.values[variant].map((cell, i) => (absolute[i] === 0 ? cell : otherValues[i]));
          expected.tables[tableId] = { ...table, values: { ...table.values, [variant]: values } };
        }
        expect(content).toEqual(expected);
        expect(merge(content, theirs, from).content).toEqual(content);
        expect(merge(ours, content, from).content).toEqual(content);
        expect(applyDifference(from, differenceOf(layout, platform, from, content))).toEqual(content);
      }),
      { numRuns: 40 },
    );
  });

  it('is refused for content of another layout version', () => {
    expect(refusalOf(() => merge({ ...base, layoutVersion: 2 }, base))[0]).toBe('otherLayout');
  });
});

describe('resolveMerge', () => {
  const ours = withTable('byFluid', { axes: [[-30, 0, 100]] }, withHold({ '2': [310, 520, 710] }));
  const theirs = withTable('byFluid', { values: { all: [1, 1, 1.05] } }, withHold({ '2': [310, 490, 690] }));
  const merged = merge(ours, theirs);

  it('puts each choice in: a side, a value, a whole table', () => {
    const content = resolveMerge(merged, { byFluid: 'theirs', 'hold/2/1': 'ours', 'hold/2/2': 705 });
    expect(content).toEqual(
      withTable('byFluid', { values: { all: [1, 1, 1.05] } }, withHold({ '2': [310, 520, 705] })),
    );
  });

  it('gives the merged content where there is nothing to settle', () => {
    expect(resolveMerge(merge(ours, base), {})).toEqual(ours);
  });

  it('chooses ours everywhere to get ours, theirs everywhere to get theirs, where all is in conflict', () => {
    fc.assert(
      fc.property(anyContent, anyContent, anyContent, (from, one, two) => {
        const any = merge(one, two, from);
        const all = (choice: MergeChoice) => Object.fromEntries(any.conflicts.map(({ id }) => [id, choice]));
        for (const { kind, tableId, ...rest } of any.conflicts) {
          if (kind === 'axis') expect(resolveMerge(any, all('ours')).tables[tableId]).toEqual(one.tables[tableId]);
          else if ('variant' in rest) {
            const cells = resolveMerge(any, all('theirs')).tables[tableId].values[rest.variant];
            expect(cells[rest.cellIndex]).toBe(two.tables[tableId].values[rest.variant][rest.cellIndex]);
          }
        }
      }),
      { numRuns: 10 },
    );
  });

  it('leaves the merge as it was', () => {
    const before = structuredClone(merged);
    resolveMerge(merged, { byFluid: 'ours', 'hold/2/1': 1, 'hold/2/2': 'theirs' });
    expect(merged).toEqual(before);
  });

  it.each<[string, Record<string, MergeChoice>, string, string]>([
    [
      'an open conflict',
      { byFluid: 'ours', 'hold/2/1': 'ours' },
      'mergeUnresolved',
      "1 of 3 conflicts have no choice, the first is 'hold/2/2'. Choose 'ours', 'theirs' or a value for each.",
    ],
    [
      'a choice for what is no conflict',
      { 'hold/2/0': 'ours' },
      'mergeChoice',
      "'hold/2/0' is no conflict of this merge. Reload the merge and choose again.",
    ],
    [
      'a number for a table',
      { byFluid: 3 },
      'mergeChoice',
      "For 'byFluid' found 3, expected 'ours' or 'theirs' for the whole table.",
    ],
    [
      'what is no number',
      { 'hold/2/1': Number.NaN },
      'mergeChoice',
      "For 'hold/2/1' found NaN, expected 'ours', 'theirs' or a finite number.",
    ],
  ])('refuses %s', (_, choices, code, message) => {
    expect(refusalOf(() => resolveMerge(merged, choices))).toEqual([code, message]);
  });
});

describe('mergeBase', () => {
  /** `child: parent` or `child: parent+mergeParent`. */
  function historyOf(text: string): HistoryNode[] {
    return text.split(' ').map((entry) => {
      const [id, parents = ''] = entry.split(':');
      const [parentId, mergeParentId] = parents.split('+');
      return { id, parentId: parentId || null, mergeParentId: mergeParentId ?? null };
    });
  }

  it.each<[string, string, string, string, string | undefined]>([
    ['a revision and itself', 'a b:a', 'b', 'b', 'b'],
    ['a revision and one made from it', 'a b:a c:b', 'c', 'a', 'a'],
    ['two lines of work', 'a b:a c:b d:b e:d', 'c', 'e', 'b'],
    ['lines that share no revision', 'a b:a x y:x', 'b', 'y', undefined],
    ['a line that was merged before: the merged revision', 'a b:a c:a d:b+c e:c', 'd', 'e', 'c'],
    ['work after a merge', 'a b:a c:a d:b+c e:d f:d', 'e', 'f', 'd'],
    ['crossed merges: the nearest, later first', 'a b:a c:a d:b+c e:c+b', 'd', 'e', 'c'],
    ['a long way round and a short one', 'a b:a c:b d:c e:d f:a+e g:e', 'f', 'g', 'e'],
    ['a parent that is not in the history', 'b:gone c:b', 'b', 'c', 'b'],
  ])('finds the base of %s', (_, history, a, b, expected) => {
    expect(mergeBase(historyOf(history), a, b)).toBe(expected);
    expect(mergeBase(historyOf(history), b, a)).toBe(expected);
  });

  it('is a common ancestor that no other common ancestor descends from', () => {
    const parents = fc.array(fc.tuple(fc.nat(), fc.option(fc.nat())), { minLength: 1, maxLength: 14 });
    fc.assert(
      fc.property(parents, fc.nat(), fc.nat(), (entries, one, two) => {
        const history = entries.map(([parent, second], i): HistoryNode => {
          const at = (n: number) => (i === 0 ? null : String(n % i));
          return { id: String(i), parentId: at(parent), mergeParentId: second === null ? null : at(second) };
        });
        const ancestors = (id: string): Set<string> => {
          const { parentId, mergeParentId } = history[Number(id)];
          const above = [parentId, mergeParentId].filter((parent) => typeof parent === 'string');
          return new Set([id, ...above.flatMap((parent) => [...ancestors(parent)])]);
        };
        const [a, b] = [one, two].map((n) => String(n % history.length));
        const common = [...ancestors(a)].filter((id) => ancestors(b).has(id));
        const nearest = common.filter((id) => !common.some((other) => other !== id && ancestors(other).has(id)));
        expect(nearest).toContain(mergeBase(history, a, b));
      }),
    );
  });

  it('refuses a revision that the history does not have', () => {
    expect(refusalOf(() => mergeBase([], 'a', 'b'))).toEqual(['unknownRevision', "The history has no revision 'a'."]);
  });
});
