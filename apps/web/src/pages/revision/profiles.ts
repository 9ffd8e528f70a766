import { type GridSize, positionOf } from '../../charts/grid-place.js';

/** Values of one row of a row-major grid, from left to right. */
export function rowProfile(values: readonly number[], size: GridSize, row: number): number[] {
  return Array.from({ length: size.columns }, (_, column) => values[positionOf({ row, column }, size)] as number);
}

/** Values of one column of a row-major grid, from top to bottom. */
export function columnProfile(values: readonly number[], size: GridSize, column: number): number[] {
  return Array.from({ length: size.rows }, (_, row) => values[positionOf({ row, column }, size)] as number);
}

/** Node of an axis that lies nearest to a value; the lower of two that are equally near. */
export function nearestNode(breakpoints: readonly number[], value: number): number {
  let nearest = 0;
  breakpoints.forEach((node, i) => {
    if (Math.abs(node - value) < Math.abs((breakpoints[nearest] as number) - value)) nearest = i;
  });
  return nearest;
}
