import { bandLabels, DEFAULT_FLEET_BANDS, describeInsufficient, type PartLook } from '@syncline/fleet';
import type { StoredPartLook } from '@syncline/store';

/** Words of the load bands that a rollout is watched in, by index. */
export const LOAD_BAND_WORDS: readonly string[] = bandLabels(DEFAULT_FLEET_BANDS.load);

/** The figures of a look that are kept. */
export function toStoredPart({ measure, loadBand, isDoubtful, look }: PartLook): StoredPartLook {
  const { older, newer } = look.comparison;
  const counts = {
    olderShifts: older.comparable.shifts,
    olderEvents: older.comparable.events,
    newerShifts: newer.comparable.shifts,
    newerEvents: newer.comparable.events,
  };
  const base = { measure, loadBand, isDoubtful, kind: look.kind, ...counts };
  if (look.kind === 'insufficient') {
    const why = look.comparison.kind === 'insufficient' ? describeWhy(look.comparison) : '';
    return { ...base, change: null, low: null, high: null, why };
  }
  return { ...base, change: look.change, low: look.interval.low, high: look.interval.high, why: '' };
}

/** The monitor leaves drives out in turn, where the fleet package speaks of vehicles. */
function describeWhy(comparison: Parameters<typeof describeInsufficient>[0]): string {
  return describeInsufficient(comparison).replaceAll('vehicles', 'drives').replaceAll('vehicle', 'drive');
}

/** Where a part looks, in words. */
export function partWords({ measure, loadBand }: Pick<StoredPartLook, 'measure' | 'loadBand'>): string {
  return loadBand === null ? `${measure} over all driving` : `${measure} at a load of ${LOAD_BAND_WORDS[loadBand]}`;
}

/** The figures of a part in one sentence. @example 'flare over all driving: 5.1 points more, at least 1.2 (…)' */
export function figureWords(part: StoredPartLook): string {
  const { change, low, olderShifts, olderEvents, newerShifts, newerEvents } = part;
  const points = (share: number | null) => ((share ?? 0) * 100).toFixed(1);
  return (
    `${partWords(part)}: ${points(change)} percentage points more than under the revision replaced, at least ` +
    `${points(low)} by the always-valid bound (${newerEvents} of ${newerShifts} shifts, ` +
    `${olderEvents} of ${olderShifts} before)`
  );
}
