import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { placeAfterKey, placeInside, placeOf, positionOf } from '../src/charts/grid-place.js';

const SIZE = { rows: 7, columns: 5 };
const place = fc.record({ row: fc.integer({ min: 0, max: 6 }), column: fc.integer({ min: 0, max: 4 }) });
const KEYS = ['ArrowUp', 'ArrowDown', 'ArrowLeft', 'ArrowRight', 'Home', 'End', 'PageUp', 'PageDown'];

describe('moving in a grid', () => {
  it.each([
    ['ArrowUp', false, 2, 2],
    ['ArrowDown', false, 4, 2],
    ['ArrowLeft', false, 3, 1],
    ['ArrowRight', false, 3, 3],
    ['Home', false, 3, 0],
    ['End', false, 3, 4],
    ['Home', true, 0, 0],
    ['End', true, 6, 4],
    ['PageUp', false, 0, 2],
    ['PageDown', false, 6, 2],
  ])('%s (with Ctrl: %s) leads from row 3, column 2 to row %i, column %i', (key, isCtrl, row, column) => {
    expect(placeAfterKey({ row: 3, column: 2 }, SIZE, key, isCtrl)).toEqual({ row, column });
  });

  it.each(['a', 'Tab', 'Enter', ' '])('%j moves nothing, so that the page may use it', (key) => {
    expect(placeAfterKey({ row: 0, column: 0 }, SIZE, key)).toBeUndefined();
  });

  it('never leaves the grid', () => {
    fc.assert(
      fc.property(place, fc.constantFrom(...KEYS), fc.boolean(), (from, key, isCtrl) => {
        const next = placeAfterKey(from, SIZE, key, isCtrl);
        expect(next).toEqual(placeInside(next ?? { row: -1, column: -1 }, SIZE));
      }),
    );
  });

  it('arrows in opposite directions lead back, away from the edges', () => {
    const inner = fc.record({ row: fc.integer({ min: 1, max: 5 }), column: fc.integer({ min: 1, max: 3 }) });
    const opposite = { ArrowUp: 'ArrowDown', ArrowDown: 'ArrowUp', ArrowLeft: 'ArrowRight', ArrowRight: 'ArrowLeft' };
    fc.assert(
      fc.property(inner, fc.constantFrom(...Object.entries(opposite)), (from, [key, back]) => {
        const there = placeAfterKey(from, SIZE, key) ?? from;
        expect(placeAfterKey(there, SIZE, back)).toEqual(from);
      }),
    );
  });
});

describe('places and positions', () => {
  it('are two names for one cell', () => {
    fc.assert(
      fc.property(place, (from) => {
        expect(placeOf(positionOf(from, SIZE), SIZE)).toEqual(from);
      }),
    );
  });

  it('an address that points outside a smaller table is taken to its last cell', () => {
    expect(placeInside({ row: 12, column: 3 }, { rows: 1, columns: 3 })).toEqual({ row: 0, column: 2 });
  });
});
