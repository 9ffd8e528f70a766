import { CalibrationError } from '../calibration-error.js';
import { intervalFraction, intervalIndex } from './axis-position.js';

/**
 * Value of a table with no, one or two axes at `coordinates`: linear between break points, flat outside.
 * Exact on every node; NaN where a coordinate is NaN. Matches SciPy's RegularGridInterpolator (linear) on clamped points.
 * @param values row-major, the first axis running slowest
 * @example interpolate([[0, 10], [0, 4]], [1, 3, 5, 11], [2.5, 1])   // 2.75
 */
export function interpolate(
  axes: ArrayLike<ArrayLike<number>>,
  values: ArrayLike<number>,
  coordinates: ArrayLike<number>,
): number {
  switch (axes.length) {
    case 0:
      return values[0];
    case 1:
      return interpolateLine(axes[0], values, coordinates[0]);
    case 2:
      return interpolateGrid(axes[0], axes[1], values, coordinates[0], coordinates[1]);
    default:
      throw tooManyAxes(axes.length);
  }
}

/** `interpolate` over one axis. Allocates nothing. */
export function interpolateLine(axis: ArrayLike<number>, values: ArrayLike<number>, x: number): number {
  const index = intervalIndex(axis, x);
  return between(values[index], values[nextIndex(axis, index)], intervalFraction(axis, index, x));
}

/** `interpolate` over two axes; `row` is the coordinate on the slow axis. Allocates nothing. */
export function interpolateGrid(
  rowAxis: ArrayLike<number>,
  columnAxis: ArrayLike<number>,
  values: ArrayLike<number>,
  row: number,
  column: number,
): number {
  const rowIndex = intervalIndex(rowAxis, row);
  const columnIndex = intervalIndex(columnAxis, column);
  const nextColumn = nextIndex(columnAxis, columnIndex);
  const columnFraction = intervalFraction(columnAxis, columnIndex, column);
  const here = rowIndex * columnAxis.length;
  const below = nextIndex(rowAxis, rowIndex) * columnAxis.length;
  return between(
    between(values[here + columnIndex], values[here + nextColumn], columnFraction),
    between(values[below + columnIndex], values[below + nextColumn], columnFraction),
    intervalFraction(rowAxis, rowIndex, row),
  );
}

/** The nodes that carry an interpolated value: 1, 2 or 4 of them for 0, 1 or 2 axes. */
export interface NodeWeights {
  /** Positions in the row-major values. */
  readonly indices: readonly number[];
  /** Not negative, summing to 1. Nodes at a clamped or exact place have weight 0. */
  readonly weights: readonly number[];
}

/**
 * Weights w_k for which Σ w_k·v_k is the interpolated value (methods.md 6). NaN coordinates give NaN weights.
 * @example nodeWeights([[0, 10]], [2.5])   // { indices: [0, 1], weights: [0.75, 0.25] }
 */
export function nodeWeights(axes: ArrayLike<ArrayLike<number>>, coordinates: ArrayLike<number>): NodeWeights {
  if (axes.length > 2) throw tooManyAxes(axes.length);
  let indices = [0];
  let weights = [1];
  for (let i = 0; i < axes.length; i++) {
    const axis = axes[i];
    const index = intervalIndex(axis, coordinates[i]);
    const next = nextIndex(axis, index);
    const fraction = intervalFraction(axis, index, coordinates[i]);
    indices = indices.flatMap((outer) => [outer * axis.length + index, outer * axis.length + next]);
    weights = weights.flatMap((outer) => [outer * (1 - fraction), outer * fraction]);
  }
  return { indices, weights };
}

// An axis of one break point has no next one; the node stands in for itself with fraction 0.
function nextIndex(axis: ArrayLike<number>, index: number): number {
  return index + 1 < axis.length ? index + 1 : index;
}

// Exact at both ends and between equal values, which neither a + f(b − a) nor (1 − f)a + fb is alone.
function between(a: number, b: number, fraction: number): number {
  return fraction === 1 ? b : a + fraction * (b - a);
}

function tooManyAxes(count: number): CalibrationError {
  return new CalibrationError('wrongShape', `A table has at most two axes, found ${count}.`);
}
