import { assertInside, type EditedGrid, gridSize, mapCells, type Selection } from './selection.js';

/**
 * One pass of smoothing inside the selection. Along an axis, a cell whose two neighbours are selected is held against
 * the straight line through them at its own break point, m = (h₂·v₁ + h₁·v₂) / (h₁ + h₂) with h₁, h₂ the distances to
 * the neighbours of value v₁, v₂; the new value is (v + m) / 2, m being the mean over the axes that have such a pair.
 * For equal distances that is the binomial weighting ¼, ½, ¼. Straight and bilinear courses stay, corners stay, edges
 * are smoothed along themselves, and no value leaves the range of itself and its neighbours.
 */
export function smoothCells(grid: EditedGrid, selection: Selection): number[] {
  assertInside(grid, selection);
  const { columns } = gridSize(grid.axes);
  const { startRow, endRow, startColumn, endColumn } = selection;
  const { values } = grid;
  const rowAxis = grid.axes.length === 2 ? grid.axes[0] : [0];
  const columnAxis = grid.axes.at(-1) ?? [0];
  return mapCells(grid, selection, (value, row, column) => {
    const at = row * columns + column;
    const lines: number[] = [];
    if (column > startColumn && column < endColumn - 1) {
      lines.push(lineAt(columnAxis, column, values[at - 1], values[at + 1]));
    }
    if (row > startRow && row < endRow - 1) {
      lines.push(lineAt(rowAxis, row, values[at - columns], values[at + columns]));
    }
    if (lines.length === 0) return value;
    return (value + lines.reduce((sum, line) => sum + line, 0) / lines.length) / 2;
  });
}

/** The straight line through the two neighbours of a break point, at that break point. */
function lineAt(axis: readonly number[], index: number, before: number, after: number): number {
  const share = (axis[index] - axis[index - 1]) / (axis[index + 1] - axis[index - 1]);
  return before + share * (after - before);
}
