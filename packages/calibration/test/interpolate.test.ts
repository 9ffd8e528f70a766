import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { interpolate, nodeWeights } from '../src/index.js';
import { anAxis } from './example.js';
import { hasReference, readReference } from './reference.js';

const HAND_AXES = [
  [0, 10],
  [0, 4],
];
const HAND_TABLE = [1, 3, 5, 11];
const HAND_LINE = { axis: [-20, 0, 30, 80, 120], values: [9.5, 7, 4.2, 2.1, 1.8] };

// scipy 1.10.1 RegularGridInterpolator(method='linear') on clamped points: shared/reference/check-values.md 3.
describe('interpolate', () => {
  it.each([
    [2.5, 1, 2.75],
    [5, 2, 5],
    [10, 4, 11],
    [7, 3, 7.4],
    [-1, 5, 3],
  ])('agrees with the hand check of a square table at (%d, %d)', (x, y, value) => {
    expect(interpolate(HAND_AXES, HAND_TABLE, [x, y])).toBeCloseTo(value, 12);
  });

  it.each([
    [15, 5.6],
    [100, 1.95],
    [-30, 9.5],
    [500, 1.8],
  ])('agrees with the hand check of a line at %d', (x, value) => {
    expect(interpolate([HAND_LINE.axis], HAND_LINE.values, [x])).toBeCloseTo(value, 12);
  });

  it('gives the only value of a table without axes', () => {
    expect(interpolate([], [42], [])).toBe(42);
  });

  it('gives NaN where a coordinate is missing', () => {
    expect(interpolate(HAND_AXES, HAND_TABLE, [Number.NaN, 1])).toBeNaN();
    expect(interpolate([HAND_LINE.axis], HAND_LINE.values, [Number.NaN])).toBeNaN();
  });

  it('refuses three axes', () => {
    expect(() => interpolate([[0], [0], [0]], [1], [0, 0, 0])).toThrow('A table has at most two axes, found 3.');
    expect(() => nodeWeights([[0], [0], [0]], [0, 0, 0])).toThrow('A table has at most two axes, found 3.');
  });

  it('does not leave an axis of one break point', () => {
    expect(interpolate([[50], [0, 10]], [2, 4], [70, 5])).toBe(3);
    expect(nodeWeights([[50]], [70])).toEqual({ indices: [0, 0], weights: [1, 0] });
  });
});

interface FirstFixture {
  cases: { name: string; axes: number[][]; table: Nested; points: number[][]; values: number[] }[];
}
type Nested = number | Nested[];

interface SecondFixture {
  bilinear: {
    axis0: number[];
    axis1: number[];
    values: number[][];
    points: { q: number[]; clamped: number; weights: [number[], number][] }[];
  };
}

describe.runIf(hasReference)('interpolate against the SciPy fixture files', () => {
  it('agrees in every point of the first source, three dimensions taken as one of two and one of one', () => {
    const { cases } = readReference<FirstFixture>('interpolation.json');
    expect(cases.map((entry) => entry.points.length)).toEqual([39, 5, 29, 8]);
    for (const { axes, table, points, values } of cases) {
      points.forEach((point, i) => expect(interpolateNested(axes, table, point)).toBeCloseTo(values[i], 12));
    }
  });

  it('agrees in values and node weights with the second source', () => {
    const { axis0, axis1, values, points } = readReference<SecondFixture>('second-source/interpolation.json').bilinear;
    expect(points).toHaveLength(20);
    for (const { q, clamped, weights } of points) {
      expect(Math.abs(interpolate([axis0, axis1], values.flat(), q) - clamped)).toBeLessThan(1e-9);
      const expected = new Map(weights.map(([[row, column], weight]) => [row * axis1.length + column, weight]));
      const found = nodeWeights([axis0, axis1], q);
      found.indices.forEach((index, i) => expect(found.weights[i]).toBeCloseTo(expected.get(index) ?? 0, 9));
    }
  });
});

// The tables here are of two axes at most; a third is one more line between two of them.
function interpolateNested(axes: number[][], table: Nested, point: number[]): number {
  if (axes.length <= 2) return interpolate(axes, [table].flat(2) as number[], point);
  const slices = (table as Nested[]).map((slice) => interpolateNested(axes.slice(1), slice, point.slice(1)));
  return interpolate([axes[0]], slices, [point[0]]);
}

const aGrid = fc.tuple(anAxis({ min: 1, max: 6 }), anAxis({ min: 1, max: 6 })).chain(([rows, columns]) => {
  const count = rows.length * columns.length;
  // + 0 turns −0 into 0, which interpolation does not keep apart.
  const cell = fc.double({ min: -1000, max: 1000, noNaN: true }).map((value) => value + 0);
  return fc.record({
    axes: fc.constant([rows, columns]),
    values: fc.array(cell, { minLength: count, maxLength: count }),
  });
});
const aPlace = fc.tuple(
  fc.double({ min: -200, max: 2200, noNaN: true }),
  fc.double({ min: -200, max: 2200, noNaN: true }),
);

describe('interpolation as a whole', () => {
  it('has weights that are not negative, sum to 1 and give the value', () => {
    fc.assert(
      fc.property(aGrid, aPlace, ({ axes, values }, place) => {
        const { indices, weights } = nodeWeights(axes, place);
        expect(weights).toHaveLength(4);
        expect(Math.min(...weights)).toBeGreaterThanOrEqual(0);
        expect(weights.reduce((sum, weight) => sum + weight, 0)).toBeCloseTo(1, 12);
        const weighted = indices.reduce((sum, index, i) => sum + weights[i] * values[index], 0);
        expect(interpolate(axes, values, place)).toBeCloseTo(weighted, 8);
      }),
    );
  });

  it('stays between the smallest and the largest node around', () => {
    fc.assert(
      fc.property(aGrid, aPlace, ({ axes, values }, place) => {
        const around = nodeWeights(axes, place).indices.map((index) => values[index]);
        const value = interpolate(axes, values, place);
        expect(value).toBeGreaterThanOrEqual(Math.min(...around) - 1e-9);
        expect(value).toBeLessThanOrEqual(Math.max(...around) + 1e-9);
      }),
    );
  });

  it('gives each node its own value to the bit', () => {
    fc.assert(
      fc.property(aGrid, ({ axes: [rows, columns], values }) => {
        const found = rows.flatMap((row) =>
          columns.map((column) => interpolate([rows, columns], values, [row, column])),
        );
        expect(found).toEqual(values);
      }),
    );
  });

  it('reproduces a + bx + cy + dxy inside the grid', () => {
    const coefficient = fc.integer({ min: -50, max: 50 });
    fc.assert(
      fc.property(aGrid, aPlace, fc.tuple(coefficient, coefficient, coefficient, coefficient), (grid, place, terms) => {
        const [rows, columns] = grid.axes;
        const [a, b, c, d] = terms;
        const plane = (x: number, y: number) => a + b * x + c * y + d * x * y;
        const values = rows.flatMap((x) => columns.map((y) => plane(x, y)));
        const x = Math.min(Math.max(place[0], rows[0]), rows[rows.length - 1]);
        const y = Math.min(Math.max(place[1], columns[0]), columns[columns.length - 1]);
        const error = interpolate([rows, columns], values, place) - plane(x, y);
        expect(Math.abs(error)).toBeLessThan(1e-9 * (1 + Math.max(...values.map(Math.abs))));
      }),
    );
  });

  it('rises along a line that rises', () => {
    const steps = fc.array(fc.double({ min: 0, max: 100, noNaN: true }), { minLength: 8, maxLength: 8 });
    const x = fc.double({ min: -200, max: 2200, noNaN: true });
    fc.assert(
      fc.property(anAxis({ min: 8, max: 8 }), steps, x, x, (axis, rises, one, two) => {
        let height = 0;
        const values = rises.map((rise) => (height += rise));
        const [low, high] = [Math.min(one, two), Math.max(one, two)];
        expect(interpolate([axis], values, [high])).toBeGreaterThanOrEqual(interpolate([axis], values, [low]) - 1e-9);
      }),
    );
  });

  it('rises along either axis of a table that rises along both', () => {
    const steps = fc.array(fc.double({ min: 0, max: 100, noNaN: true }), { minLength: 5, maxLength: 5 });
    const axes = fc.tuple(anAxis({ min: 5, max: 5 }), anAxis({ min: 5, max: 5 }));
    const x = fc.double({ min: -200, max: 2200, noNaN: true });
    fc.assert(
      fc.property(
        axes,
        fc.array(steps, { minLength: 5, maxLength: 5 }),
        aPlace,
        x,
        ([rows, columns], rises, place, other) => {
          // Sums over all rises above and left of a cell rise along both axes.
          const heights = rises.map((_, row) =>
            columns.map((__, column) =>
              rises
                .slice(0, row + 1)
                .flatMap((line) => line.slice(0, column + 1))
                .reduce((a, b) => a + b, 0),
            ),
          );
          const at = (row: number, column: number) => interpolate([rows, columns], heights.flat(), [row, column]);
          const [row, column] = place;
          expect(at(Math.max(row, other), column)).toBeGreaterThanOrEqual(at(Math.min(row, other), column) - 1e-9);
          expect(at(row, Math.max(column, other))).toBeGreaterThanOrEqual(at(row, Math.min(column, other)) - 1e-9);
        },
      ),
    );
  });
});
