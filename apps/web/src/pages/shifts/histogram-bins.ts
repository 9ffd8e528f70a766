import type { ShiftDistributionResponse } from '@syncline/contract';

/** One bar of a distribution: values from `low` to below `high`, and to `high` itself in the last one. */
export interface Bin {
  readonly low: number;
  readonly high: number;
  readonly shifts: number;
}

export function binsOf({ edges, counts }: Pick<ShiftDistributionResponse, 'edges' | 'counts'>): Bin[] {
  return counts.map((shifts, at) => ({ low: edges[at] as number, high: edges[at + 1] as number, shifts }));
}

/** A bar this many times as high as the middle one of those that hold anything hides the others. */
const TOWERING = 25;

/** Whether one bar towers over the others, so that heights are better drawn by their square root. */
export function isTowering(bins: readonly Bin[]): boolean {
  const filled = bins.map(({ shifts }) => shifts).filter((shifts) => shifts > 0);
  const sorted = filled.sort((a, b) => a - b);
  const middle = sorted[Math.floor(sorted.length / 2)];
  const highest = sorted.at(-1);
  return middle !== undefined && highest !== undefined && highest > TOWERING * middle;
}

/** Digits that tell two neighbouring edges apart. */
export function edgeDigits(bins: readonly Bin[]): number {
  const first = bins[0];
  if (first === undefined || !(first.high > first.low)) return 0;
  return Math.max(0, Math.min(4, Math.ceil(-Math.log10(first.high - first.low) + 0.3)));
}
