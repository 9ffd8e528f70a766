import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  applyDifference,
  changesOf,
  contentHash,
  defaultContent,
  differenceOf,
  differenceOfVariant,
  type RevisionContent,
} from '../src/index.js';
import { anyContent, contentWith, layout, platform } from './example.js';

const base = contentWith({ hold: { '2': [400, 800, 1400] }, offset: { all: [0] }, fillTime: { B: [160, 100, 60] } });

describe('differenceOf', () => {
  it('finds nothing between equal contents', () => {
    expect(differenceOf(layout, platform, base, structuredClone(base))).toEqual([]);
  });

  it('gives absolute and relative change of what differs and of nothing else', () => {
    const other = contentWith({ ...valuesOf(base), hold: { '2': [400, 840, 1330] } });
    const [difference, ...others] = differenceOf(layout, platform, base, other);
    expect(others).toEqual([]);
    expect(difference).toEqual({
      tableId: 'hold',
      title: 'Holding pressure',
      unit: 'kPa',
      variant: '2',
      axes: [{ quantity: 'load', title: 'Load', unit: '%', breakpoints: [0, 40, 100] }],
      baseValues: [400, 800, 1400],
      otherValues: [400, 840, 1330],
      absolute: [0, 40, -70],
      percent: [0, 5, -5],
      cells: 3,
      changedCells: 2,
      largestAbsolute: { position: 2, absolute: -70, percent: -5 },
      // Both are 5 %: the first counts.
      largestPercent: { position: 1, absolute: 40, percent: 5 },
      isResampled: false,
    });
  });

  it('puts the largest relative change first and ranks a change from 0 by its share of the limits', () => {
    // hold 1 by 10 %; offset from 0 by 40 kPa of a span of 400, that is 10 too; fill time B by 50 %; factor by 2 %.
    const other = contentWith({
      hold: { '1': [600, 600, 669], '2': [400, 800, 1400] },
      offset: { all: [-48] },
      fillTime: { B: [160, 100, 90] },
      byProgram: { brisk: [1.02] },
    });
    const differences = differenceOf(layout, platform, base, other);
    expect(differences.map((entry) => [entry.tableId, entry.variant])).toEqual([
      ['fillTime', 'B'],
      ['offset', 'all'],
      ['hold', '1'],
      ['byProgram', 'brisk'],
    ]);
    const { percent, largestPercent, largestAbsolute } = differences[1];
    expect({ percent, largestPercent, largestAbsolute }).toEqual({
      percent: [null],
      largestPercent: null,
      largestAbsolute: { position: 0, absolute: -48, percent: null },
    });
  });

  it('counts a rise of a value below 0 as a positive percentage', () => {
    const [deep, raised] = [contentWith({ offset: { all: [-50] } }), contentWith({ offset: { all: [-40] } })];
    expect(differenceOf(layout, platform, deep, raised)[0].percent).toEqual([20]);
  });

  it('reads the base off at the new break points when they were moved, and says so', () => {
    const other: RevisionContent = {
      ...base,
      tables: { ...base.tables, fillTime: { ...base.tables.fillTime, axes: [[-20, 0, 90]] } },
    };
    const differences = differenceOf(layout, platform, base, other);
    // Every variant is named, flat ones too, since their break points moved.
    expect(differences.map((entry) => [entry.variant, entry.changedCells, entry.isResampled])).toEqual([
      ['B', 1, true],
      ['A', 0, true],
      ['C', 0, true],
    ]);
    expect(differences[0].axes[0].breakpoints).toEqual([-20, 0, 90]);
    expect(differences[0].baseValues).toEqual([160, 130, 60]);
    expect(differences[0].absolute).toEqual([0, -30, 0]);
  });

  it('is refused between contents of different layouts', () => {
    expect(() => differenceOf(layout, platform, base, { ...base, layoutVersion: 2 })).toThrow(
      'Content of sandpiper, layout version 2, cannot be compared under sandpiper, layout version 3.',
    );
  });
});

describe('changesOf', () => {
  it('tells the sizes of what differs, as the cells have them', () => {
    fc.assert(
      fc.property(anyContent, anyContent, (one, other) => {
        const differences = differenceOf(layout, platform, one, other);
        const changes = changesOf(layout, platform, one, other);
        expect(changes.map(({ tableId, variant }) => [tableId, variant])).toEqual(
          differences.map(({ tableId, variant }) => [tableId, variant]),
        );
        for (const [i, { absolute, percent }] of differences.entries()) {
          const { cells, changedCells, largestAbsolute, largestPercent } = changes[i];
          const shares = percent.filter((share) => share !== null).map(Math.abs);
          expect([cells, changedCells]).toEqual([absolute.length, absolute.filter((change) => change !== 0).length]);
          expect(Math.abs(largestAbsolute.absolute)).toBe(Math.max(...absolute.map(Math.abs)));
          expect(largestAbsolute.absolute).toBe(absolute[largestAbsolute.position]);
          expect(largestPercent === null ? [] : [Math.abs(largestPercent.percent ?? Number.NaN)]).toEqual(
            shares.length === 0 ? [] : [Math.max(...shares)],
          );
          expect(largestPercent?.percent).toBe(largestPercent === null ? undefined : percent[largestPercent.position]);
        }
      }),
      { numRuns: 40 },
    );
  });
});

describe('differenceOfVariant', () => {
  it('is one of the differences, and of an equal variant all zeros', () => {
    const other = contentWith({ ...valuesOf(base), hold: { '2': [400, 840, 1330] } });
    const [difference] = differenceOf(layout, platform, base, other);
    expect(differenceOfVariant(layout, { tableId: 'hold', variant: '2' }, base, other)).toEqual(difference);
    expect(differenceOfVariant(layout, { tableId: 'hold', variant: '1' }, base, other).absolute).toEqual([0, 0, 0]);
  });

  it('is refused for a table or a variant that the layout does not have', () => {
    const ask = (tableId: string, variant: string) => () =>
      differenceOfVariant(layout, { tableId, variant }, base, base);
    expect(ask('none', '1')).toThrow("has no table 'none'");
    expect(ask('hold', '9')).toThrow("has no variant '9'");
  });
});

describe('applyDifference', () => {
  it('makes the other content out of the base', () => {
    fc.assert(
      fc.property(anyContent, anyContent, fc.subarray(layout.tables.map((spec) => spec.id)), (one, two, kept) => {
        const shared = Object.fromEntries(kept.map((id) => [id, one.tables[id]]));
        const other = { ...two, tables: { ...two.tables, ...shared } };
        const differences = differenceOf(layout, platform, one, other);
        expect(differences.filter((entry) => kept.includes(entry.tableId))).toEqual([]);
        const applied = applyDifference(one, differences);
        expect(applied).toEqual(other);
        expect(contentHash(applied)).toBe(contentHash(other));
      }),
    );
  });

  it('leaves the base as it was', () => {
    const before = structuredClone(base);
    applyDifference(base, differenceOf(layout, platform, base, defaultContent(layout, platform)));
    expect(base).toEqual(before);
  });

  it('undoes a change when the contents are exchanged', () => {
    fc.assert(
      fc.property(anyContent, anyContent, (one, two) => {
        const there = applyDifference(one, differenceOf(layout, platform, one, two));
        expect(applyDifference(there, differenceOf(layout, platform, two, one))).toEqual(one);
      }),
      { numRuns: 30 },
    );
  });
});

function valuesOf(content: RevisionContent): Record<string, Record<string, readonly number[]>> {
  return Object.fromEntries(Object.entries(content.tables).map(([id, table]) => [id, { ...table.values }]));
}
