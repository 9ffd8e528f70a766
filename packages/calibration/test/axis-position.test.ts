import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { axisPosition } from '../src/index.js';
import { anAxis } from './example.js';

describe('axisPosition', () => {
  it.each([
    [-1, 0, 0],
    [0, 0, 0],
    [5, 0, 0.5],
    [10, 1, 0],
    [25, 1, 0.5],
    [40, 2, 0],
    [100, 2, 1],
    [Number.POSITIVE_INFINITY, 2, 1],
    [Number.NEGATIVE_INFINITY, 0, 0],
  ])('places %d on the axis 0, 10, 40, 100 in interval %i at fraction %d', (x, index, fraction) => {
    expect(axisPosition([0, 10, 40, 100], x)).toEqual({ index, fraction });
  });

  it.each([[[0, 10]], [[5]]])('gives a fraction of NaN for a missing value on the axis %j', (axis) => {
    expect(axisPosition(axis, Number.NaN)).toEqual({ index: 0, fraction: Number.NaN });
  });

  it.each([-3, 5, 8])('places %d at the only break point of an axis that has one', (x) => {
    expect(axisPosition([5], x)).toEqual({ index: 0, fraction: 0 });
  });

  it('finds the same interval as a walk from the left', () => {
    fc.assert(
      fc.property(anAxis({ min: 2, max: 30 }), fc.double({ min: -200, max: 2200, noNaN: true }), (axis, x) => {
        const walked = axis.findLastIndex((breakpoint, i) => i < axis.length - 1 && breakpoint <= x);
        const { index, fraction } = axisPosition(axis, x);
        expect(index).toBe(Math.max(walked, 0));
        expect(fraction).toBeGreaterThanOrEqual(0);
        expect(fraction).toBeLessThanOrEqual(1);
        const clamped = Math.min(Math.max(x, axis[0]), axis[axis.length - 1]);
        expect(axis[index] + fraction * (axis[index + 1] - axis[index])).toBeCloseTo(clamped, 9);
      }),
    );
  });
});
