import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  addToCells,
  type EditedGrid,
  formatBlock,
  type InterpolationDirection,
  interpolate,
  interpolateCells,
  moveBreakpoint,
  parseBlock,
  pasteCells,
  roundCells,
  type Selection,
  scaleCells,
  setCells,
  smoothCells,
  wholeGrid,
} from '../src/index.js';
import { anAxis, aTable, layout } from './example.js';
import { refusalOf } from './refusal.js';

/** Rows at 0, 1, 4; columns at 0, 10, 40, 100. */
const grid: EditedGrid = {
  axes: [
    [0, 1, 4],
    [0, 10, 40, 100],
  ],
  values: [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12],
};
const inner: Selection = { startRow: 0, endRow: 2, startColumn: 1, endColumn: 3 };
const all = wholeGrid(grid.axes);

const anyGrid = fc.tuple(anAxis({ min: 1, max: 7 }), anAxis({ min: 1, max: 7 })).chain(([rows, columns]) => {
  const count = rows.length * columns.length;
  const cell = fc.integer({ min: -1000, max: 1000 });
  return fc.record({
    axes: fc.constant([rows, columns]),
    values: fc.array(cell, { minLength: count, maxLength: count }),
    selection: fc.record({
      startRow: fc.nat({ max: rows.length - 1 }),
      startColumn: fc.nat({ max: columns.length - 1 }),
      rows: fc.integer({ min: 1, max: rows.length }),
      columns: fc.integer({ min: 1, max: columns.length }),
    }),
  });
});
const anySelection = anyGrid.map(({ axes, values, selection: { startRow, startColumn, ...size } }) => ({
  grid: { axes, values },
  selection: {
    startRow,
    endRow: Math.min(axes[0].length, startRow + size.rows),
    startColumn,
    endColumn: Math.min(axes[1].length, startColumn + size.columns),
  },
}));
const directions: InterpolationDirection[] = ['alongRows', 'alongColumns', 'both'];

describe('edits of selected cells', () => {
  it.each<[string, number[], number[]]>([
    ['one value', setCells(grid, inner, 0), [1, 0, 0, 4, 5, 0, 0, 8, 9, 10, 11, 12]],
    ['an amount added', addToCells(grid, inner, -1.5), [1, 0.5, 1.5, 4, 5, 4.5, 5.5, 8, 9, 10, 11, 12]],
    ['a percentage', scaleCells(grid, inner, 50), [1, 3, 4.5, 4, 5, 9, 10.5, 8, 9, 10, 11, 12]],
    [
      'the nearest storage step',
      roundCells(grid, inner, { type: 'u8', resolution: 4, offset: 1 }),
      [1, 1, 5, 4, 5, 5, 9, 8, 9, 10, 11, 12],
    ],
  ])('give %s to the selected cells and to no other', (_, values, expected) => {
    expect(values).toEqual(expected);
  });

  it('leave the grid as it was', () => {
    const before = structuredClone(grid);
    for (const work of [setCells, addToCells, scaleCells]) work(grid, all, 7);
    for (const direction of directions) interpolateCells(grid, all, direction);
    smoothCells(grid, all);
    pasteCells(grid, inner, [[1]]);
    expect(grid).toEqual(before);
  });

  it.each<[string, Partial<Selection>]>([
    ['a row too many', { endRow: 4 }],
    ['a column before the first', { startColumn: -1 }],
    ['no cell', { endColumn: 1 }],
    ['half a cell', { startRow: 0.5 }],
  ])('refuse a selection of %s', (_, parts) => {
    const [code, message] = refusalOf(() => setCells(grid, { ...inner, ...parts }, 1));
    expect(code).toBe('badEdit');
    expect(message).toContain('not all in a table of 3 rows and 4 columns');
  });

  it.each([Number.NaN, Number.POSITIVE_INFINITY])('refuse the value %s', (value) => {
    for (const work of [setCells, addToCells, scaleCells]) {
      expect(refusalOf(() => work(grid, inner, value))[0]).toBe('badEdit');
    }
  });

  it('take a table of one axis as one row and a single value as one cell', () => {
    const line = { axes: [[0, 10, 40]], values: [0, 7, 8] };
    expect(interpolateCells(line, wholeGrid(line.axes), 'both')).toEqual([0, 2, 8]);
    expect(scaleCells({ axes: [], values: [200] }, wholeGrid([]), -5)).toEqual([190]);
  });
});

describe('interpolateCells', () => {
  it.each<[InterpolationDirection, number[]]>([
    ['alongRows', [1, 1.3, 2.2, 4, 5, 5.3, 6.2, 8, 9, 9.3, 10.2, 12]],
    ['alongColumns', [1, 2, 3, 4, 3, 4, 5, 6, 9, 10, 11, 12]],
    ['both', [1, 1.3, 2.2, 4, 3, 3.3, 4.2, 6, 9, 9.3, 10.2, 12]],
  ])('goes %s by distance of break points, not by count', (direction, expected) => {
    // By hand: shares 0, 0.1, 0.4, 1 along a row and 0, 0.25, 1 along a column.
    const values = interpolateCells(grid, all, direction).map((value) => Number(value.toFixed(12)));
    expect(values).toEqual(expected);
  });

  it('fills a rectangle with what a table of its four corners says there', () => {
    fc.assert(
      fc.property(anySelection, ({ grid: { axes, values }, selection }) => {
        const [rows, columns] = axes;
        const [top, bottom] = [selection.startRow, selection.endRow - 1];
        const [first, last] = [selection.startColumn, selection.endColumn - 1];
        const [rowEnds, columnEnds] = [[...new Set([top, bottom])], [...new Set([first, last])]];
        const corners = rowEnds.flatMap((row) => columnEnds.map((column) => values[row * columns.length + column]));
        const cornerAxes = [rowEnds.map((row) => rows[row]), columnEnds.map((column) => columns[column])];
        const filled = interpolateCells({ axes, values }, selection, 'both');
        filled.forEach((value, i) => {
          const [row, column] = [Math.floor(i / columns.length), i % columns.length];
          const isInside = row >= top && row <= bottom && column >= first && column <= last;
          const expected = isInside ? interpolate(cornerAxes, corners, [rows[row], columns[column]]) : values[i];
          expect(value).toBeCloseTo(expected, 9);
        });
      }),
    );
  });

  it('changes nothing when done again', () => {
    fc.assert(
      fc.property(anySelection, fc.constantFrom(...directions), ({ grid: any, selection }, direction) => {
        const once = interpolateCells(any, selection, direction);
        interpolateCells({ axes: any.axes, values: once }, selection, direction).forEach((value, i) => {
          expect(value).toBeCloseTo(once[i], 9);
        });
      }),
    );
  });
});

describe('smoothCells', () => {
  it('weighs ¼, ½, ¼ on even distances and leaves the ends', () => {
    const line = { axes: [[0, 1, 2, 3]], values: [0, 8, 0, 0] };
    expect(smoothCells(line, wholeGrid(line.axes))).toEqual([0, 4, 2, 0]);
  });

  it('weighs the nearer neighbour more', () => {
    // The line from 0 at 0 to 10 at 10 passes 2 at 2, so 8 comes halfway down to it.
    const line = { axes: [[0, 2, 10]], values: [0, 8, 10] };
    expect(smoothCells(line, wholeGrid(line.axes))).toEqual([0, 5, 10]);
  });

  it('takes the mean of both axes inside, and one axis along an edge', () => {
    const square = {
      axes: [
        [0, 1, 2],
        [0, 1, 2],
      ],
      values: [0, 4, 0, 0, 8, 0, 0, 0, 0],
    };
    // Centre: along its row (0 + 0)/2, along its column (4 + 0)/2, so (8 + (0 + 2)/2)/2.
    expect(smoothCells(square, wholeGrid(square.axes))).toEqual([0, 2, 0, 0, 4.5, 0, 0, 0, 0]);
  });

  it('keeps a + bx + cy + dxy, so that nothing straight is bent', () => {
    const term = fc.integer({ min: -20, max: 20 });
    fc.assert(
      fc.property(anySelection, fc.tuple(term, term, term, term), ({ grid: any, selection }, [a, b, c, d]) => {
        const [rows, columns] = any.axes;
        const values = rows.flatMap((x) => columns.map((y) => a + b * x + c * y + d * x * y));
        const most = Math.max(1, ...values.map(Math.abs));
        smoothCells({ axes: any.axes, values }, selection).forEach((value, i) => {
          expect(Math.abs(value - values[i]) / most).toBeLessThan(1e-12);
        });
      }),
    );
  });

  it('adds no value beyond the largest and the smallest selected', () => {
    fc.assert(
      fc.property(anySelection, ({ grid: any, selection }) => {
        const smoothed = smoothCells(any, selection);
        expect(Math.max(...smoothed)).toBeLessThanOrEqual(Math.max(...any.values) + 1e-9);
        expect(Math.min(...smoothed)).toBeGreaterThanOrEqual(Math.min(...any.values) - 1e-9);
      }),
    );
  });
});

describe('pasteCells', () => {
  it('lays a block over the cells from the first selected one', () => {
    const one = { startRow: 1, endRow: 2, startColumn: 2, endColumn: 3 };
    expect(
      pasteCells(grid, one, [
        [70, 80],
        [110, 120],
      ]),
    ).toEqual([1, 2, 3, 4, 5, 6, 70, 80, 9, 10, 110, 120]);
  });

  it('repeats a block that fills the selection a whole number of times', () => {
    const rows = { ...all, endRow: 2 };
    expect(pasteCells(grid, rows, [[0, -1]])).toEqual([0, -1, 0, -1, 0, -1, 0, -1, 9, 10, 11, 12]);
    expect(pasteCells(grid, all, [[3]])).toEqual(grid.values.map(() => 3));
  });

  it.each<[string, number[][], string]>([
    [
      'runs over the edge',
      [
        [1, 2],
        [3, 4],
        [5, 6],
        [7, 8],
      ],
      'A block of 4 rows and 2 columns from row 1, column 2 runs over',
    ],
    ['is ragged', [[1, 2], [3]], 'rows of unequal length'],
    ['is empty', [], 'no cells'],
    ['holds what is no number', [[Number.NaN]], 'NaN is no number'],
  ])('refuses a block that %s', (_, block, message) => {
    const [code, found] = refusalOf(() => pasteCells(grid, inner, block));
    expect(code).toBe('badEdit');
    expect(found).toContain(message);
  });
});

describe('blocks as text', () => {
  it('are rows of tab-separated columns in full precision', () => {
    const precise = { axes: grid.axes, values: grid.values.map((value) => value / 3) };
    expect(formatBlock(precise, inner)).toBe(`${2 / 3}\t1\n2\t${7 / 3}`);
  });

  it('come back as the same numbers', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ noNaN: true, noDefaultInfinity: true }), { minLength: 6, maxLength: 6 }),
        (numbers) => {
          const values = numbers.map((value) => value + 0);
          const any = {
            axes: [
              [0, 1],
              [0, 1, 2],
            ],
            values,
          };
          expect(parseBlock(formatBlock(any, wholeGrid(any.axes)))).toEqual([values.slice(0, 3), values.slice(3)]);
        },
      ),
    );
  });

  it.each<[string, string, number[][]]>([
    [
      'decimal points',
      '1.5\t2\n.5\t-3e2\n',
      [
        [1.5, 2],
        [0.5, -300],
      ],
    ],
    [
      'decimal commas',
      '1,5\t0,435\r\n-2\t7,\r\n',
      [
        [1.5, 0.435],
        [-2, 7],
      ],
    ],
    ['a true minus sign and spaces around', ' −4 \t\u00a05', [[-4, 5]]],
    ['one cell', '12', [[12]]],
  ])('are read with %s', (_, text, expected) => {
    expect(parseBlock(text)).toEqual(expected);
  });

  it.each<[string, string, string]>([
    ['a word', '1\t2\n3\tfour', "Row 2, column 2: found 'four', expected a plain number"],
    ['an empty cell', '1\t\n3\t4', "Row 1, column 2: found ''"],
    ['thousands marks', '1.234,5', "Row 1, column 1: found '1.234,5'"],
    ['two decimal marks', '1,5\t2.5', "Row 1, column 2: found '2.5', but a cell before it uses another decimal mark"],
    ['a missing cell', '1\t2\n3', 'Row 2 has 1 columns, the first has 2'],
    ['a unit', '300 kPa', "Row 1, column 1: found '300 kPa'"],
    ['a number too large', '1e999', "Row 1, column 1: found '1e999', which is beyond"],
    ['nothing', '', "Row 1, column 1: found ''"],
  ])('are refused with %s, naming the cell', (_, text, message) => {
    const [code, found] = refusalOf(() => parseBlock(text));
    expect(code).toBe('badBlock');
    expect(found).toContain(message);
  });
});

describe('moveBreakpoint', () => {
  const spec = layout.tables.filter((table) => table.id === 'byFluid')[0];
  const fluid = { axes: [[-20, 20, 90]], values: { all: [1.4, 1, 0.9] } };

  it('reads every variant off at the new place and tells the largest error', () => {
    const { content, largestError } = moveBreakpoint(spec, fluid, 0, 1, 0);
    expect(content).toEqual({ axes: [[-20, 0, 90]], values: { all: [1.4, 1.2, 0.9] } });
    // The line from (0, 1.2) to (90, 0.9) passes 20 °C at 1.1333, which was 1.
    expect(largestError).toEqual({ error: expect.closeTo(2 / 15, 12), variant: 'all', coordinates: [20] });
  });

  it('changes nothing when the break point stays', () => {
    expect(moveBreakpoint(spec, fluid, 0, 1, 20)).toEqual({ content: fluid, largestError: null });
  });

  it.each<[string, () => unknown, string]>([
    ['onto its neighbour', () => moveBreakpoint(spec, fluid, 0, 1, 90), 'expected a number above -20 and below 90 °C'],
    ['beyond the one after', () => moveBreakpoint(spec, fluid, 0, 0, 20), 'expected a number below 20 °C'],
    ['to no number', () => moveBreakpoint(spec, fluid, 0, 2, Number.NaN), 'expected a number above 20 °C'],
    ['that is not there', () => moveBreakpoint(spec, fluid, 0, 3, 1), 'has no break point 4 on axis 1'],
    ['of an axis that is not there', () => moveBreakpoint(spec, fluid, 1, 0, 1), 'has no break point 1 on axis 2'],
    [
      'of a fixed axis',
      () =>
        moveBreakpoint(
          aTable({ axes: layout.tables[0].axes.slice(0, 1) }),
          { axes: [[0, 40, 100]], values: { all: [0, 0, 0] } },
          0,
          1,
          50,
        ),
      "has a fixed axis 'Load'",
    ],
  ])('refuses to move a break point %s', (_, work, message) => {
    const [code, found] = refusalOf(work);
    expect(code).toBe('badEdit');
    expect(found).toContain(message);
  });
});
