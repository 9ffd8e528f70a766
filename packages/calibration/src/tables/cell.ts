import type { TableSpec } from '../layout/layout.js';

/** Row and column of a position in row-major values. A table of one axis is one row; a single value is its own cell. */
export function cellOf(axes: readonly ArrayLike<number>[], index: number): { row: number; column: number } {
  const columns = axes.length === 0 ? 1 : axes[axes.length - 1].length;
  return { row: Math.floor(index / columns), column: index % columns };
}

/** Words that name a cell by its break points: `cell at Load 40 %, Input speed 1500 rpm`, or `the value`. */
export function cellName(spec: TableSpec, axes: readonly (readonly number[])[], index: number): string {
  const { row, column } = cellOf(axes, index);
  const steps = axes.length === 1 ? [column] : [row, column];
  const places = spec.axes.map((axis, i) => `${axis.title} ${axes[i][steps[i]]} ${axis.unit}`.trimEnd());
  return places.length === 0 ? 'the value' : `cell at ${places.join(', ')}`;
}
