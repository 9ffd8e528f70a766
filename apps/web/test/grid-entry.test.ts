import { describe, expect, it } from 'vitest';
import { parseAmount } from '../src/format/parse-amount.js';
import { type EntryKind, valuesAfterEntry } from '../src/pages/draft/model/entry.js';
import { ENTRY_OPERATIONS, SHAPE_OPERATIONS, valuesAfterShape } from '../src/pages/draft/model/grid-operations.js';
import { aTable } from './small-layout.js';

const grid = {
  axes: [
    [0, 10, 20],
    [100, 200, 400],
  ],
  values: [10, 20, 30, 40, 50, 60, 70, 80, 90],
};
/** The first two rows of the first two columns. */
const selection = { startRow: 0, endRow: 2, startColumn: 0, endColumn: 2 };

describe('a typed number', () => {
  it.each([
    ['12', 12],
    ['-3.5', -3.5],
    ['−3,5', -3.5],
    ['.25', 0.25],
    [' 7 ', 7],
    ['', undefined],
    ['1.234,5', undefined],
    ['5 kPa', undefined],
    ['-', undefined],
  ])('“%s” is read as %s', (text, amount) => {
    expect(parseAmount(text)).toBe(amount);
  });
});

describe('an entry', () => {
  it.each<[EntryKind, string, number[]]>([
    ['set', '7', [7, 7, 30, 7, 7, 60, 70, 80, 90]],
    ['add', '0.1', [10.1, 20.1, 30, 40.1, 50.1, 60, 70, 80, 90]],
    ['take', '2,5', [7.5, 17.5, 30, 37.5, 47.5, 60, 70, 80, 90]],
    ['scale', '-10', [9, 18, 30, 36, 45, 60, 70, 80, 90]],
  ])('%s %s changes the selected cells and no other', (kind, text, values) => {
    expect(valuesAfterEntry(grid, selection, { kind, text })).toEqual(values);
  });

  it('does nothing while what is typed is no number', () => {
    expect(valuesAfterEntry(grid, selection, { kind: 'set', text: '-' })).toBeUndefined();
  });

  it('leaves no dust of binary fractions in a cell', () => {
    const tenth = { axes: [], values: [0.1] };
    const only = { startRow: 0, endRow: 1, startColumn: 0, endColumn: 1 };
    expect(valuesAfterEntry(tenth, only, { kind: 'add', text: '0.2' })).toEqual([0.3]);
  });
});

describe('an operation without a number', () => {
  const spec = aTable({ id: 'x', storage: { type: 'u16', resolution: 25, offset: 0 }, defaultValue: 5 });
  const all = { startRow: 0, endRow: 3, startColumn: 0, endColumn: 3 };
  const after = (kind: Parameters<typeof valuesAfterShape>[0], parentValues: readonly number[] | null = null) =>
    valuesAfterShape(kind, { grid, selection: all, spec, parentValues });

  it('along rows is straight over the break points, not over the count of cells', () => {
    // From 10 at 100 to 30 at 400, so a third of the way at 200.
    expect(after('rows')[1]).toBeCloseTo(10 + 20 / 3, 9);
  });

  it('along columns keeps first and last row', () => {
    expect(after('columns')).toEqual(grid.values);
  });

  it('rounds to the steps of the storage', () => {
    expect(after('nearest').slice(0, 4)).toEqual([0, 25, 25, 50]);
  });

  it('goes back to the parent, or to the default where there is none', () => {
    expect(after('parent', [1, 2, 3, 4, 5, 6, 7, 8, 9])).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9]);
    expect(after('parent')).toEqual(Array.from({ length: 9 }, () => 5));
  });
});

describe('the keys of the operations', () => {
  it('are all different, and none is a digit or a key of the page', () => {
    const keys = [...ENTRY_OPERATIONS, ...SHAPE_OPERATIONS].map(({ key }) => key);
    expect(new Set(keys).size).toBe(keys.length);
    expect(keys.filter((key) => /[0-9.,/?]/.test(key))).toEqual([]);
  });
});
