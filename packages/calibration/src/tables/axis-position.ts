/** A place on an axis: `fraction` of the way from break point `index` to the next one, 0 ≤ fraction ≤ 1. */
export interface AxisPosition {
  readonly index: number;
  readonly fraction: number;
}

/**
 * Where x lies among strictly increasing break points; clamped to the ends, O(log n).
 * On a break point the fraction is 0, on the last one (and beyond) it is 1 in the last interval. An axis of one
 * break point answers index 0, fraction 0. NaN, a missing value, gives fraction NaN: missing in, missing out.
 * @param breakpoints at least one, strictly increasing (`checkContent` reports others)
 * @example axisPosition([0, 10, 40], 25)   // { index: 1, fraction: 0.5 }
 */
export function axisPosition(breakpoints: ArrayLike<number>, x: number): AxisPosition {
  const index = intervalIndex(breakpoints, x);
  return { index, fraction: intervalFraction(breakpoints, index, x) };
}

/** Index of the interval that holds x, in 0 … length − 2 (0 for an axis of one break point). Allocates nothing. */
export function intervalIndex(breakpoints: ArrayLike<number>, x: number): number {
  let low = 0;
  let high = breakpoints.length - 2;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (x >= breakpoints[middle]) low = middle;
    else high = middle - 1;
  }
  return low;
}

/** Share of the interval `index` that lies below x, clamped to 0 … 1; NaN for NaN. Allocates nothing. */
export function intervalFraction(breakpoints: ArrayLike<number>, index: number, x: number): number {
  const start = breakpoints[index];
  if (x <= start) return 0;
  if (index + 1 >= breakpoints.length) return Number.isNaN(x) ? Number.NaN : 0;
  const end = breakpoints[index + 1];
  return x >= end ? 1 : (x - start) / (end - start);
}
