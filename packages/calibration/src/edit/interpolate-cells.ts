import { assertInside, type EditedGrid, gridSize, mapCells, type Selection } from './selection.js';

/** Along each row, along each column, or over the rectangle. */
export type InterpolationDirection = 'alongRows' | 'alongColumns' | 'both';

/**
 * The selected cells on straight lines between the selection's outermost cells, which stay: in each row between its
 * first and last selected column, in each column likewise, or over the rectangle from its four corners (bilinear).
 * Linear in the break points, not in the count of cells, so that the table's own interpolation passes the same line.
 */
export function interpolateCells(grid: EditedGrid, selection: Selection, direction: InterpolationDirection): number[] {
  assertInside(grid, selection);
  const { columns } = gridSize(grid.axes);
  const [first, last] = [selection.startColumn, selection.endColumn - 1];
  const [top, bottom] = [selection.startRow, selection.endRow - 1];
  const valueAt = (row: number, column: number) => grid.values[row * columns + column];
  const rowShare = shares(grid.axes.length === 2 ? grid.axes[0] : [0], top, bottom);
  const columnShare = shares(grid.axes.at(-1) ?? [0], first, last);
  const inRow = (row: number, column: number) => between(valueAt(row, first), valueAt(row, last), columnShare[column]);
  switch (direction) {
    case 'alongRows':
      return mapCells(grid, selection, (_, row, column) => inRow(row, column));
    case 'alongColumns':
      return mapCells(grid, selection, (_, row, column) =>
        between(valueAt(top, column), valueAt(bottom, column), rowShare[row]),
      );
    case 'both':
      return mapCells(grid, selection, (_, row, column) =>
        between(inRow(top, column), inRow(bottom, column), rowShare[row]),
      );
    default:
      return direction satisfies never;
  }
}

/** Share of the way from break point `first` to `last` at each break point; 0 where there is no way. */
function shares(axis: readonly number[], first: number, last: number): number[] {
  const length = axis[last] - axis[first];
  return axis.map((x) => (length === 0 ? 0 : (x - axis[first]) / length));
}

// Exact at both ends and between equal values.
function between(a: number, b: number, share: number): number {
  return share === 1 ? b : a + share * (b - a);
}
