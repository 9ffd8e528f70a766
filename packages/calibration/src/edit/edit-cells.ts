import { CalibrationError } from '../calibration-error.js';
import type { TableSpec } from '../layout/layout.js';
import { rawOf, valueOf } from '../layout/storage.js';
import { assertInside, type EditedGrid, gridSize, mapCells, type Selection } from './selection.js';

/** Every selected cell at one value. Like all edits it gives new values and neither clips nor rounds. */
export function setCells(grid: EditedGrid, selection: Selection, value: number): number[] {
  assertFinite(value);
  return mapCells(grid, selection, () => value);
}

/** An amount, in the table's unit, added to every selected cell. */
export function addToCells(grid: EditedGrid, selection: Selection, amount: number): number[] {
  assertFinite(amount);
  return mapCells(grid, selection, (value) => value + amount);
}

/** Every selected cell changed by a percentage: value · (1 + percent / 100). */
export function scaleCells(grid: EditedGrid, selection: Selection, percent: number): number[] {
  assertFinite(percent);
  return mapCells(grid, selection, (value) => value * (1 + percent / 100));
}

/** Every selected cell at the value that its storage keeps for it. */
export function roundCells(grid: EditedGrid, selection: Selection, storage: TableSpec['storage']): number[] {
  return mapCells(grid, selection, (value) => valueOf(storage, rawOf(storage, value)));
}

/**
 * A block of values laid over the grid from the selection's first cell on; repeated to fill the selection where that is
 * a whole number of blocks high and wide, as a single value always does. Throws `badEdit` where the block is
 * empty, ragged, or runs over the edge of the table.
 */
export function pasteCells(grid: EditedGrid, selection: Selection, block: readonly (readonly number[])[]): number[] {
  assertInside(grid, selection);
  const [height, width] = [block.length, block[0]?.length ?? 0];
  if (width === 0 || block.some((row) => row.length !== width)) {
    throw new CalibrationError(
      'badEdit',
      'The block has no cells or rows of unequal length. Paste a rectangle of numbers.',
    );
  }
  for (const row of block) row.forEach(assertFinite);
  const target = fills(selection, height, width)
    ? selection
    : {
        ...selection,
        endRow: selection.startRow + height,
        endColumn: selection.startColumn + width,
      };
  const { rows, columns } = gridSize(grid.axes);
  if (target.endRow > rows || target.endColumn > columns) {
    throw new CalibrationError(
      'badEdit',
      `A block of ${height} rows and ${width} columns from row ${selection.startRow + 1}, column ` +
        `${selection.startColumn + 1} runs over the edge of a table of ${rows} rows and ${columns} columns. ` +
        'Begin further up or left, or paste a smaller block.',
    );
  }
  return mapCells(
    grid,
    target,
    (_, row, column) => block[(row - target.startRow) % height][(column - target.startColumn) % width],
  );
}

function fills(selection: Selection, height: number, width: number): boolean {
  const rows = selection.endRow - selection.startRow;
  const columns = selection.endColumn - selection.startColumn;
  return rows % height === 0 && columns % width === 0;
}

function assertFinite(value: number): void {
  if (Number.isFinite(value)) return;
  throw new CalibrationError('badEdit', `${value} is no number that a cell can hold. Type a finite number.`);
}
