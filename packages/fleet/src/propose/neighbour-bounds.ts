import type { TableSpec } from '@syncline/calibration';
import type { ValueGrid } from './value-grid.js';

/** Two neighbours a before b along an axis: low ≤ x_b − x_a ≤ high, on the grid. */
export interface NeighbourBound {
  readonly a: number;
  readonly b: number;
  readonly low: number;
  readonly high: number;
  readonly reason: 'course' | 'slope';
}

/** Least difference of a strict course where values are not whole steps, as part of the larger one. */
const STRICT_PART = 1e-6;

/**
 * The layout's required course and slope limits as bounds on neighbours, loosened where the present values already
 * break them: what is broken may be mended, never made worse, and the present values always keep within.
 */
export function neighbourBounds(
  spec: TableSpec,
  axes: readonly (readonly number[])[],
  present: readonly number[],
  grid: ValueGrid,
): NeighbourBound[] {
  const bounds: NeighbourBound[] = [];
  for (const { axis, direction, strict } of spec.monotone) {
    for (const { a, b } of neighbours(axes, axis)) {
      const strictly = grid.isWhole ? 1 : STRICT_PART * Math.max(Math.abs(present[a]), Math.abs(present[b]));
      const least = strict ? strictly : 0;
      const difference = present[b] - present[a];
      const range =
        direction === 'rising'
          ? { low: Math.min(least, difference), high: Number.POSITIVE_INFINITY }
          : { low: Number.NEGATIVE_INFINITY, high: Math.max(-least, difference) };
      bounds.push({ a, b, ...range, reason: 'course' });
    }
  }
  for (const { axis, maxPerUnit } of spec.slopeLimits) {
    for (const { a, b, distance } of neighbours(axes, axis)) {
      const most = grid.toGrid(maxPerUnit * distance) - grid.toGrid(0);
      const limit = grid.isWhole ? Math.floor(most) : most;
      const difference = present[b] - present[a];
      bounds.push({ a, b, low: Math.min(-limit, difference), high: Math.max(limit, difference), reason: 'slope' });
    }
  }
  return bounds.filter(({ low, high }) => !Number.isNaN(low) && !Number.isNaN(high));
}

function* neighbours(axes: readonly (readonly number[])[], axis: number) {
  const stride = axes.slice(axis + 1).reduce((product, { length }) => product * length, 1);
  const count = axes.reduce((product, { length }) => product * length, 1);
  for (let b = 0; b < count; b += 1) {
    const step = Math.floor(b / stride) % axes[axis].length;
    if (step > 0) yield { a: b - stride, b, distance: axes[axis][step] - axes[axis][step - 1] };
  }
}
