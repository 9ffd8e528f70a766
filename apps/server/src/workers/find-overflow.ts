import type { LockUpEpisode, Shift } from '@syncline/shifts';

/** Times that span more are no drive (s); sums over such logs would mean nothing. Clocks set anew stay far below it. */
const MAX_DURATION_S = 1e10;

/**
 * Says that the times of a drive overflow; undefined for any that is whole. Only absurd times, values or factors of a
 * signal map lead there, and an infinite figure can be neither compared nor shown.
 */
export function spanOverflow(durationS: number): string | undefined {
  if (durationS <= MAX_DURATION_S) return undefined;
  return `Its times span ${durationS.toPrecision(3)} s. Correct the damaged times, or the unit of the time column.`;
}

/** The same of a shift or a lock-up. */
export function eventOverflow(event: Shift | LockUpEpisode): string | undefined {
  const measure = infiniteIn(event);
  if (measure === undefined) return undefined;
  return `About ${event.commandS.toFixed(2)} s its values are so large that ${measure} overflows. Correct them, or the factors of the signal map.`;
}

/** Name of the first figure that is infinite, inner ones included. */
function infiniteIn(values: object): string | undefined {
  for (const [name, value] of Object.entries(values)) {
    if (value === Number.POSITIVE_INFINITY || value === Number.NEGATIVE_INFINITY) return name;
    const inner = typeof value === 'object' && value !== null ? infiniteIn(value) : undefined;
    if (inner !== undefined) return inner;
  }
  return undefined;
}
