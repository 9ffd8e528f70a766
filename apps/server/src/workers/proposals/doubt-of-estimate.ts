import type { CorrectionEstimate } from '@syncline/fleet';

/** Trims that average far from 0 have taken the map's level with them: no correction beside them means anything. */
const MOST_COMMON_ERRORS = 4;

/** Why the estimate must not be acted on; null where it may. */
export function doubtOf({
  trims,
  components: { vehicleSd },
}: Pick<CorrectionEstimate, 'trims' | 'components'>): string | null {
  const mean = trims.reduce((sum, { trimLn }) => sum + trimLn, 0) / trims.length;
  if (Math.abs(mean) * Math.sqrt(trims.length) <= MOST_COMMON_ERRORS * vehicleSd) return null;
  return (
    `The estimate does not hold together: it moves the map and lets all ${trims.length} cars make up for it (trims of ` +
    `${(100 * mean).toFixed(0)} % on average, which should be 0). Leave out earlier revisions, or wait for more drives.`
  );
}
