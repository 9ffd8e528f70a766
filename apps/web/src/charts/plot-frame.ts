/**
 * Width of the value axis of every time plot and of the lanes under it, and the room at its right (px): panels that
 * share a time axis must share these, so that a moment is one vertical line through all of them.
 */
export const AXIS_WIDTH_PX = 66;
export const RIGHT_ROOM_PX = 10;

/** Where a time stands in the plot area, as a share of its width; outside the range below 0 or above 1. */
export function timeShare(timeS: number, range: TimeRange): number {
  return (timeS - range.fromS) / (range.toS - range.fromS);
}

export interface TimeRange {
  readonly fromS: number;
  readonly toS: number;
}
