import type { TableContent } from '../document/content.js';
import type { TableSpec } from '../layout/layout.js';
import { interpolate } from './interpolate.js';

/** A table on new break points, and where that changed it most. */
export interface ResampledTable {
  readonly content: TableContent;
  /** The largest departure of the new table from the old one at any place, in the table's unit; null if there is none. */
  readonly largestError: ResamplingError | null;
}

export interface ResamplingError {
  /** Absolute, above 0. */
  readonly error: number;
  readonly variant: string;
  /** The place, one coordinate per axis. */
  readonly coordinates: readonly number[];
}

/** Share of a variant's largest value below which a departure is rounding of the interpolation, not a resampling error. */
const ROUNDING = 1e-12;

/**
 * The table read off at new break points (clamped like any look-up). The same break points give the same values to the
 * bit. The error is exact, not sampled: both tables are (bi)linear between the break points of either, so their
 * difference is largest at a crossing of those, beyond which both are flat.
 * @param newAxes as many axes as the table has, each strictly increasing
 */
export function resampleTable(
  spec: Pick<TableSpec, 'axes'>,
  content: TableContent,
  newAxes: readonly (readonly number[])[],
): ResampledTable {
  const axes = spec.axes.map((_, i) => [...newAxes[i]]);
  const values = Object.fromEntries(
    Object.entries(content.values).map(([variant, old]) => [variant, resampleValues(content.axes, old, axes)]),
  );
  const resampled = { axes, values };
  return { content: resampled, largestError: findLargestError(content, resampled) };
}

/** Values of a table read off at the nodes of other axes, row-major. */
export function resampleValues(
  axes: readonly (readonly number[])[],
  values: readonly number[],
  newAxes: readonly (readonly number[])[],
): number[] {
  return nodesOf(newAxes).map((node) => interpolate(axes, values, node));
}

function findLargestError(old: TableContent, resampled: TableContent): ResamplingError | null {
  const union = old.axes.map((axis, i) => [...new Set([...axis, ...resampled.axes[i]])].sort((a, b) => a - b));
  const nodes = nodesOf(union);
  let largest: ResamplingError | null = null;
  for (const [variant, values] of Object.entries(old.values)) {
    const rounding = ROUNDING * values.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
    for (const coordinates of nodes) {
      const after = interpolate(resampled.axes, resampled.values[variant], coordinates);
      const error = Math.abs(after - interpolate(old.axes, values, coordinates));
      if (error > Math.max(largest?.error ?? 0, rounding)) largest = { error, variant, coordinates };
    }
  }
  return largest;
}

/** The coordinates of every node in row-major order; one empty node for no axes. */
function nodesOf(axes: readonly (readonly number[])[]): number[][] {
  return axes.reduce<number[][]>((nodes, axis) => nodes.flatMap((node) => axis.map((x) => [...node, x])), [[]]);
}
