import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { indicesOf, scrollTo, windowSpan } from '../src/charts/grid-window.js';

const anyBox = fc.record({
  scroll: fc.nat(3000),
  visible: fc.integer({ min: 20, max: 900 }),
  cell: fc.integer({ min: 10, max: 120 }),
  count: fc.integer({ min: 1, max: 64 }),
});

describe('the cells that are drawn', () => {
  it('are all that the box shows of the grid, and none outside it', () => {
    fc.assert(
      fc.property(anyBox, ({ scroll, visible, cell, count }) => {
        const { start, end } = windowSpan(scroll, visible, cell, count);
        expect(start >= 0 && end <= count && start <= end).toBe(true);
        for (let index = 0; index < count; index++) {
          const isInSight = (index + 1) * cell > scroll && index * cell < scroll + visible;
          if (isInSight) expect(index >= start && index < end).toBe(true);
        }
      }),
    );
  });

  it('hold the active one wherever the box is scrolled to, once and in order', () => {
    expect(indicesOf({ start: 3, end: 6 }, 4)).toEqual([3, 4, 5]);
    expect(indicesOf({ start: 3, end: 6 }, 0)).toEqual([0, 3, 4, 5]);
    expect(indicesOf({ start: 3, end: 6 }, 9)).toEqual([3, 4, 5, 9]);
  });

  it('come into sight by the smallest step of scrolling', () => {
    expect(scrollTo(100, 200, 20, 7)).toBe(100);
    expect(scrollTo(100, 200, 20, 2)).toBe(40);
    expect(scrollTo(100, 200, 20, 20)).toBe(220);
  });
});
