import { CalibrationError } from '../calibration-error.js';

/** One variant's values on its break points: what an editor shows as a grid. */
export interface EditedGrid {
  readonly axes: readonly (readonly number[])[];
  /** Row-major, the first axis running slowest. A table of one axis is one row, a single value one cell. */
  readonly values: readonly number[];
}

/** A rectangle of cells; the ends are exclusive. */
export interface Selection {
  readonly startRow: number;
  readonly endRow: number;
  readonly startColumn: number;
  readonly endColumn: number;
}

/** Rows and columns of the grid that the axes span. */
export function gridSize(axes: readonly (readonly number[])[]): { rows: number; columns: number } {
  return {
    rows: axes.length === 2 ? axes[0].length : 1,
    columns: axes.length === 0 ? 1 : axes[axes.length - 1].length,
  };
}

/** Every cell of the grid. */
export function wholeGrid(axes: readonly (readonly number[])[]): Selection {
  const { rows, columns } = gridSize(axes);
  return { startRow: 0, endRow: rows, startColumn: 0, endColumn: columns };
}

/** The values with each selected one replaced; the others stay as they are. Throws `badEdit` for cells outside the grid. */
export function mapCells(
  grid: EditedGrid,
  selection: Selection,
  change: (value: number, row: number, column: number) => number,
): number[] {
  assertInside(grid, selection);
  const { columns } = gridSize(grid.axes);
  const values = [...grid.values];
  for (let row = selection.startRow; row < selection.endRow; row++) {
    for (let column = selection.startColumn; column < selection.endColumn; column++) {
      const at = row * columns + column;
      values[at] = change(grid.values[at], row, column);
    }
  }
  return values;
}

/** Throws `badEdit` unless the selection holds at least one cell, all of them in the grid. */
export function assertInside(grid: EditedGrid, selection: Selection): void {
  const { rows, columns } = gridSize(grid.axes);
  const { startRow, endRow, startColumn, endColumn } = selection;
  if (isRange(startRow, endRow, rows) && isRange(startColumn, endColumn, columns)) return;
  throw new CalibrationError(
    'badEdit',
    `Rows ${startRow + 1} to ${endRow} and columns ${startColumn + 1} to ${endColumn} are not all in a table of ` +
      `${rows} rows and ${columns} columns. Select cells of the table.`,
  );
}

function isRange(start: number, end: number, length: number): boolean {
  return Number.isInteger(start) && Number.isInteger(end) && start >= 0 && start < end && end <= length;
}
