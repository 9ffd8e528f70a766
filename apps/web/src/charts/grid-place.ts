/** A cell of a grid, both counted from 0. */
export interface GridPlace {
  readonly row: number;
  readonly column: number;
}

export interface GridSize {
  readonly rows: number;
  readonly columns: number;
}

/**
 * Cell that a key leads to, as in a spreadsheet: arrows step, Home and End go to the ends of the row, with Ctrl to
 * those of the grid, Page Up and Page Down to the ends of the column. Stays inside; undefined for any other key.
 */
export function placeAfterKey(
  { row, column }: GridPlace,
  { rows, columns }: GridSize,
  key: string,
  isCtrl = false,
): GridPlace | undefined {
  const lastRow = rows - 1;
  const lastColumn = columns - 1;
  switch (key) {
    case 'ArrowUp':
      return { row: Math.max(0, row - 1), column };
    case 'ArrowDown':
      return { row: Math.min(lastRow, row + 1), column };
    case 'ArrowLeft':
      return { row, column: Math.max(0, column - 1) };
    case 'ArrowRight':
      return { row, column: Math.min(lastColumn, column + 1) };
    case 'Home':
      return { row: isCtrl ? 0 : row, column: 0 };
    case 'End':
      return { row: isCtrl ? lastRow : row, column: lastColumn };
    case 'PageUp':
      return { row: 0, column };
    case 'PageDown':
      return { row: lastRow, column };
    default:
      return undefined;
  }
}

/** The place inside the grid nearest to a wanted one, which an old or edited address may put outside. */
export function placeInside({ row, column }: GridPlace, { rows, columns }: GridSize): GridPlace {
  const within = (index: number, count: number) => Math.min(Math.max(0, index), count - 1);
  return { row: within(row, rows), column: within(column, columns) };
}

/** Position of a place in row-major values. */
export function positionOf({ row, column }: GridPlace, { columns }: GridSize): number {
  return row * columns + column;
}

/** Place of a position in row-major values. */
export function placeOf(position: number, { columns }: GridSize): GridPlace {
  return { row: Math.floor(position / columns), column: position % columns };
}
