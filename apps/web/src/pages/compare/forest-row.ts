import type { CompareDetailResponse } from '@syncline/contract';
import { reachOf } from '../../charts/effect-bar.js';

export type ComparedVehicle = CompareDetailResponse['byVehicle'][number];
/** A car that drove the same operating points under both. */
export type MatchedVehicle = ComparedVehicle & { readonly difference: NonNullable<ComparedVehicle['difference']> };

/** Cars with a difference, from the largest fall to the largest rise, and those that drove nothing alike under both. */
export function splitVehicles(vehicles: readonly ComparedVehicle[]): {
  matched: MatchedVehicle[];
  unmatched: ComparedVehicle[];
} {
  const matched = vehicles.filter((vehicle): vehicle is MatchedVehicle => vehicle.difference !== null);
  return {
    matched: matched.sort((a, b) => a.difference.difference - b.difference.difference),
    unmatched: vehicles.filter(({ difference }) => difference === null),
  };
}

/**
 * How far the scale of the forest reaches to both sides (share): it holds every point and the whole pooled interval.
 * Intervals of cars with few shifts may go beyond; to hold them all would flatten what is known well.
 */
export function forestReach(
  matched: readonly MatchedVehicle[],
  pooled: { readonly low: number; readonly high: number } | null,
): number {
  return reachOf([
    ...matched.map(({ difference }) => difference.difference),
    ...(pooled === null ? [] : [pooled.low, pooled.high]),
  ]);
}

/** Side of the mark of a car (px): its area is in proportion to the weight. */
export function markSide(weight: number, largestWeight: number): number {
  const share = largestWeight > 0 ? Math.max(0, weight) / largestWeight : 0;
  return SMALLEST_MARK_PX + (LARGEST_MARK_PX - SMALLEST_MARK_PX) * Math.sqrt(share);
}

const SMALLEST_MARK_PX = 4;
const LARGEST_MARK_PX = 15;
