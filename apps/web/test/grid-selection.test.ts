import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  cellCount,
  isSelected,
  movedSelection,
  nextInColumn,
  nextInOrder,
  oneCell,
  rectangleOf,
} from '../src/pages/draft/model/grid-selection.js';

const size = { rows: 4, columns: 5 };
const middle = oneCell({ row: 1, column: 2 });
const none = { shiftKey: false, isCtrl: false };

describe('a key that moves', () => {
  it.each([
    ['ArrowRight', none, { row: 1, column: 3 }],
    ['ArrowUp', none, { row: 0, column: 2 }],
    ['ArrowDown', { ...none, isCtrl: true }, { row: 3, column: 2 }],
    ['ArrowLeft', { ...none, isCtrl: true }, { row: 1, column: 0 }],
    ['Home', none, { row: 1, column: 0 }],
    ['End', { ...none, isCtrl: true }, { row: 3, column: 4 }],
  ])('%s with %j leads to %j', (key, modifiers, place) => {
    expect(movedSelection(middle, size, key, modifiers)).toEqual(oneCell(place));
  });

  it('with Shift keeps the anchor, so that a rectangle grows and shrinks again', () => {
    const shift = { shiftKey: true, isCtrl: false };
    const grown = movedSelection(movedSelection(middle, size, 'ArrowDown', shift)!, size, 'ArrowRight', shift)!;
    expect(rectangleOf(grown)).toEqual({ startRow: 1, endRow: 3, startColumn: 2, endColumn: 4 });
    expect(cellCount(rectangleOf(grown))).toBe(4);
    expect(rectangleOf(movedSelection(grown, size, 'ArrowUp', shift)!)).toMatchObject({ startRow: 1, endRow: 2 });
  });

  it('is told from one that does not', () => {
    expect(movedSelection(middle, size, 'x', none)).toBeUndefined();
  });

  it('never leaves the grid', () => {
    const anyKey = fc.constantFrom(
      'ArrowUp',
      'ArrowDown',
      'ArrowLeft',
      'ArrowRight',
      'Home',
      'End',
      'PageUp',
      'PageDown',
    );
    fc.assert(
      fc.property(fc.array(fc.tuple(anyKey, fc.boolean(), fc.boolean())), (keys) => {
        let selection = middle;
        for (const [key, shiftKey, isCtrl] of keys)
          selection = movedSelection(selection, size, key, { shiftKey, isCtrl })!;
        const { startRow, endRow, startColumn, endColumn } = rectangleOf(selection);
        expect(startRow >= 0 && endRow <= size.rows && startColumn >= 0 && endColumn <= size.columns).toBe(true);
        expect(isSelected(rectangleOf(selection), selection.active)).toBe(true);
      }),
    );
  });
});

describe('Tab and Enter', () => {
  it('step in reading order, and leave the grid past either end: nobody is caught in it', () => {
    expect(nextInOrder({ row: 1, column: 4 }, size, 1)).toEqual({ row: 2, column: 0 });
    expect(nextInOrder({ row: 1, column: 0 }, size, -1)).toEqual({ row: 0, column: 4 });
    expect(nextInOrder({ row: 3, column: 4 }, size, 1)).toBeUndefined();
    expect(nextInOrder({ row: 0, column: 0 }, size, -1)).toBeUndefined();
  });

  it('step down a column and stay at its end', () => {
    expect(nextInColumn({ row: 2, column: 1 }, size, 1)).toEqual({ row: 3, column: 1 });
    expect(nextInColumn({ row: 3, column: 1 }, size, 1)).toEqual({ row: 3, column: 1 });
  });
});
