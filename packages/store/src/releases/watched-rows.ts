import type { WatchedRow } from '@syncline/fleet';
import { sql } from 'drizzle-orm';
import type { Db } from '../database/context.js';
import { GRADE_BITS } from '../shifts/bit-set.js';
import type { ReleaseReads } from './releases.js';

interface Counted {
  readonly logId: string;
  readonly isNewer: number;
  readonly loadBand: number;
  readonly stratum: string;
  readonly flareShifts: number;
  readonly flares: number;
  readonly harshShifts: number;
  readonly harsh: number;
}

/**
 * See `ReleaseReads.watchedRows`. Counted from the shifts of one car by its index, since summaries know no drives. A
 * shift counts where the log could tell, as in the summaries.
 */
export function watchedRows(
  db: Db,
  { vehicleId, newerId, olderId }: Parameters<ReleaseReads['watchedRows']>[0],
): WatchedRow[] {
  return db
    .all<Counted>(sql`
      SELECT log_id AS logId, revision_id = ${newerId} AS isNewer, load_band AS loadBand,
        kind || '|' || load_band || '|' || fluid_temperature_band || '|' || coalesce(program, '') AS stratum,
        sum(inertia_start_s IS NOT NULL OR grades & ${GRADE_BITS.flare} <> 0) AS flareShifts,
        sum(grades & ${GRADE_BITS.flare} <> 0) AS flares,
        sum(peak_jerk IS NOT NULL) AS harshShifts,
        sum(peak_jerk IS NOT NULL AND grades & ${GRADE_BITS.harsh} <> 0) AS harsh
      FROM shifts
      WHERE vehicle_id = ${vehicleId} AND revision_id IN (${newerId}, ${olderId})
      GROUP BY 1, 2, 3, 4
      ORDER BY 1, 4`)
    .map(({ logId, isNewer, loadBand, stratum, ...counts }) => ({
      vehicle: vehicleId,
      drive: logId,
      revision: isNewer ? 'newer' : 'older',
      stratum,
      loadBand,
      outcomes: {
        flare: { shifts: counts.flareShifts, events: counts.flares },
        harsh: { shifts: counts.harshShifts, events: counts.harsh },
      },
    }));
}
