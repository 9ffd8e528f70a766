import type { Selection } from '@syncline/calibration';
import { type GridPlace, type GridSize, placeAfterKey, placeInside } from '../../../charts/grid-place.js';

/** A rectangle of cells between two corners: the anchor stays, the active cell moves and is the one read out. */
export interface GridSelection {
  readonly anchor: GridPlace;
  readonly active: GridPlace;
}

export function oneCell(place: GridPlace): GridSelection {
  return { anchor: place, active: place };
}

/** The rectangle of a selection, its ends exclusive. */
export function rectangleOf({ anchor, active }: GridSelection): Selection {
  return {
    startRow: Math.min(anchor.row, active.row),
    endRow: Math.max(anchor.row, active.row) + 1,
    startColumn: Math.min(anchor.column, active.column),
    endColumn: Math.max(anchor.column, active.column) + 1,
  };
}

export function cellCount({ startRow, endRow, startColumn, endColumn }: Selection): number {
  return (endRow - startRow) * (endColumn - startColumn);
}

export function isSelected({ startRow, endRow, startColumn, endColumn }: Selection, { row, column }: GridPlace) {
  return row >= startRow && row < endRow && column >= startColumn && column < endColumn;
}

/** The selection in a grid of this size, which another table or an old address may exceed. */
export function selectionInside(selection: GridSelection, size: GridSize): GridSelection {
  const { anchor, active } = selection;
  const isInside = [anchor, active].every(({ row, column }) => row < size.rows && column < size.columns);
  return isInside ? selection : { anchor: placeInside(anchor, size), active: placeInside(active, size) };
}

interface Modifiers {
  readonly shiftKey: boolean;
  /** Ctrl, or Command where there is one. */
  readonly isCtrl: boolean;
}

/**
 * The selection after a key that moves: arrows step, with Ctrl to the edge of the grid, Home and End to the ends of the
 * row or of the grid; with Shift the anchor stays. Undefined for any other key.
 */
export function movedSelection(
  selection: GridSelection,
  size: GridSize,
  key: string,
  { shiftKey, isCtrl }: Modifiers,
): GridSelection | undefined {
  const active = isCtrl
    ? (edgeAfterKey(selection.active, size, key) ?? placeAfterKey(selection.active, size, key, true))
    : placeAfterKey(selection.active, size, key);
  if (active === undefined) return undefined;
  return shiftKey ? { anchor: selection.anchor, active } : oneCell(active);
}

function edgeAfterKey({ row, column }: GridPlace, { rows, columns }: GridSize, key: string): GridPlace | undefined {
  switch (key) {
    case 'ArrowUp':
      return { row: 0, column };
    case 'ArrowDown':
      return { row: rows - 1, column };
    case 'ArrowLeft':
      return { row, column: 0 };
    case 'ArrowRight':
      return { row, column: columns - 1 };
    default:
      return undefined;
  }
}

/**
 * The cell before or after in reading order; undefined past either end, where the key belongs to the page: nobody is
 * to be caught in a grid.
 */
export function nextInOrder({ row, column }: GridPlace, { rows, columns }: GridSize, step: 1 | -1) {
  const position = row * columns + column + step;
  if (position < 0 || position >= rows * columns) return undefined;
  return { row: Math.floor(position / columns), column: position % columns };
}

/** The cell below or above, staying at the edge. */
export function nextInColumn({ row, column }: GridPlace, { rows }: GridSize, step: 1 | -1): GridPlace {
  return { row: Math.min(rows - 1, Math.max(0, row + step)), column };
}
