import { describe, expect, it } from 'vitest';
import { groupTables, tableDigits } from '../src/pages/revision/layout-words.js';
import { placeName, tableView } from '../src/pages/revision/table-view.js';
import { aLayout, anAxis, aTable, PLATFORM } from './small-layout.js';

const base = aTable({
  id: 'base',
  title: 'Base pressure',
  repeat: 'shift',
  axes: [
    { ...anAxis('load', [0, 100]), title: 'Load', unit: '%' },
    { ...anAxis('inputSpeed', [1000, 3000]), title: 'Input speed', unit: 'rpm' },
  ],
});
const layout = aLayout([base, aTable({ id: 'scalar' })]);
const content = {
  platformId: PLATFORM.id,
  layoutVersion: 1,
  tables: {
    // Canonical JSON sorts names, so the order here is not the platform's.
    base: {
      axes: [
        [0, 90],
        [1000, 2000, 3000],
      ],
      values: { '2-1': [1, 2, 3, 4, 5, 6], '1-2': [9, 8, 7, 6, 5, 4] },
    },
    scalar: { axes: [], values: { all: [42] } },
  },
};

describe('a table to be drawn', () => {
  it('has its variants in the order of the platform and the axes of the content', () => {
    const view = tableView(layout, PLATFORM, content, { table: 'base', variant: '2-1' });
    expect(view).toMatchObject({
      name: 'Base pressure 2-1',
      variants: ['1-2', '2-1'],
      size: { rows: 2, columns: 3 },
      extent: [1, 6],
      rowAxis: { title: 'Load', unit: '%', breakpoints: [0, 90] },
    });
  });

  it.each([
    [{ table: 'gone', variant: 'gone' }, 'base', '1-2'],
    [{ table: 'base', variant: '6-5' }, 'base', '1-2'],
    [{ table: 'scalar', variant: '1-2' }, 'scalar', 'all'],
  ])('%j falls back to table %s, variant %s', (search, id, variant) => {
    expect(tableView(layout, PLATFORM, content, search)).toMatchObject({ spec: { id }, variant });
  });

  it('names a cell by its break points with their units', () => {
    const view = tableView(layout, PLATFORM, content, { table: 'base' });
    expect(view && placeName(view, { row: 1, column: 2 })).toBe('Load 90 %, Input speed 3000 rpm');
  });

  it('of a single value is one cell without axes', () => {
    const view = tableView(layout, PLATFORM, content, { table: 'scalar' });
    expect(view).toMatchObject({
      size: { rows: 1, columns: 1 },
      values: [42],
      rowAxis: undefined,
      columnAxis: undefined,
    });
  });
});

describe('digits of a table', () => {
  it.each([
    ['u16', 1, 0],
    ['u16', 5, 0],
    ['u16', 0.001, 3],
    ['u8', 0.25, 2],
    ['f32', 1, 0],
  ] as const)('%s in steps of %d have %i', (type, resolution, digits) => {
    expect(tableDigits(aTable({ id: 'x', storage: { type, resolution, offset: 0 } }))).toBe(digits);
  });
});

describe('groups of tables', () => {
  it('follow the rules, a table once, those in no rule last', () => {
    const tables = ['a', 'b', 'c', 'd'].map((id) => aTable({ id }));
    const groups = groupTables(aLayout(tables, [{ tables: ['b', 'a'] }, { tables: ['b', 'c'] }]));
    expect(groups.map(({ tables: members }) => members.map(({ id }) => id))).toEqual([['a', 'b'], ['c'], ['d']]);
  });
});
