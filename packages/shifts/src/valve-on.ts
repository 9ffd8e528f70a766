import { slotsOf } from './logged-gear.js';
import type { SampleWindow } from './sample-window.js';

/** A valve is followed for this long after synchronisation (s). */
export const VALVE_FOLLOWED_S = 5;

/**
 * How long the shift valve stayed energised after a time, until `untilS` at most (s). A missing value holds the one
 * before. Null when the log does not tell whether it was on.
 */
export function valveOnAfterS(
  window: SampleWindow,
  syncS: number,
  range: { readonly fromIndex: number; readonly endIndex: number; readonly untilS: number },
): number | null {
  const column = window.columns.valveOn;
  if (column === undefined) return null;
  const untilS = Math.min(range.untilS, syncS + VALVE_FOLLOWED_S);
  const { from, to } = slotsOf(window, { ...range, fromS: syncS, untilS });
  let isKnown = false;
  let onUntilS = syncS;
  for (let slot = from; slot < to; slot++) {
    const value = column[slot] as number;
    if (!Number.isNaN(value)) isKnown = true;
    if (value < 0.5)
      return isKnown ? Math.max(0, (window.clockS[slot] as number) - syncS) * (slot > from ? 1 : 0) : null;
    onUntilS = window.clockS[slot] as number;
  }
  return isKnown ? onUntilS - syncS : null;
}
