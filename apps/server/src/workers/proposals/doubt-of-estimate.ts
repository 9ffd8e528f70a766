import type { CorrectionEstimate } from '@syncline/fleet';

/** Trims that had far more in common than chance gives them took the map's level along: responses contradict each other. */
const MOST_COMMON_ERRORS = 4;

/** Why the estimate must not be acted on; null where it may. */
export function doubtOf({
  trims,
  commonTrimLn,
  components: { vehicleSd },
}: Pick<CorrectionEstimate, 'trims' | 'commonTrimLn' | 'components'>): string | null {
  if (Math.abs(commonTrimLn) * Math.sqrt(trims.length) <= MOST_COMMON_ERRORS * vehicleSd) return null;
  return (
    `The estimate does not hold together: it moves the map and lets all ${trims.length} cars make up for it (trims of ` +
    `${(100 * commonTrimLn).toFixed(0)} % on average, which should be 0). Leave out earlier revisions, or wait for more drives.`
  );
}
