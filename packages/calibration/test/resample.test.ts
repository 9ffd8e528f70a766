import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { interpolate, resampleTable } from '../src/index.js';
import { anAxis, anyContent, layout } from './example.js';

const spec = (id: string) => layout.tables.filter((table) => table.id === id)[0];
const fluid = { axes: [[-20, 20, 90]], values: { all: [1.4, 1, 0.9] } };

describe('resampleTable', () => {
  it('is exact on the same break points', () => {
    fc.assert(
      fc.property(anyContent, fc.constantFrom(...layout.tables), (content, table) => {
        const before = content.tables[table.id];
        expect(resampleTable(table, before, before.axes)).toEqual({ content: before, largestError: null });
      }),
    );
  });

  it('loses nothing when break points are only added', () => {
    const { content, largestError } = resampleTable(spec('byFluid'), fluid, [[-20, 0, 20, 55, 90, 120]]);
    expect(content.values.all.map((value) => Number(value.toFixed(12)))).toEqual([1.4, 1.2, 1, 0.95, 0.9, 0.9]);
    expect(largestError).toBeNull();
  });

  it('does not call rounding an error when a break point leaves a straight line', () => {
    const slope = fc.integer({ min: -99, max: 99 });
    fc.assert(
      fc.property(anAxis({ min: 3, max: 6 }), slope, slope, (axis, level, rise) => {
        const straight = { axes: [axis], values: { all: axis.map((x) => level / 7 + (x * rise) / 10) } };
        expect(resampleTable(spec('byFluid'), straight, [axis.toSpliced(1, 1)]).largestError).toBeNull();
      }),
    );
  });

  it('finds the largest error at a break point that went', () => {
    // Without the one at 20 °C the line from (0, 1.2) to (90, 0.9) passes 20 °C at 1.1333, which was 1.
    const { largestError } = resampleTable(spec('byFluid'), fluid, [[-20, 0, 90]]);
    expect(largestError).toEqual({
      error: expect.closeTo(1.2 - 0.3 * (20 / 90) - 1, 12),
      variant: 'all',
      coordinates: [20],
    });
  });

  it('finds the largest error beyond an end that moved in', () => {
    const { largestError } = resampleTable(spec('byFluid'), fluid, [[0, 20, 90]]);
    expect(largestError).toEqual({ error: expect.closeTo(0.2, 12), variant: 'all', coordinates: [-20] });
  });

  it('names an error that no other place exceeds', () => {
    const axes = fc.tuple(anAxis({ min: 3, max: 3 }), anAxis({ min: 4, max: 4 }));
    const place = fc.tuple(
      fc.double({ min: -200, max: 2200, noNaN: true }),
      fc.double({ min: -200, max: 8000, noNaN: true }),
    );
    fc.assert(
      fc.property(anyContent, axes, place, (any, newAxes, at) => {
        const before = any.tables.base;
        const { content, largestError } = resampleTable(spec('base'), before, newAxes);
        const errorAt = (variant: string, coordinates: readonly number[]) =>
          Math.abs(
            interpolate(content.axes, content.values[variant], coordinates) -
              interpolate(before.axes, before.values[variant], coordinates),
          );
        const largest = largestError?.error ?? 0;
        for (const variant of ['1-2', '2-3']) expect(errorAt(variant, at)).toBeLessThanOrEqual(largest + 1e-9);
        expect(largestError ? errorAt(largestError.variant, largestError.coordinates) : 0).toBe(largest);
      }),
    );
  });
});
