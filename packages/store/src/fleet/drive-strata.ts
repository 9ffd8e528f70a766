import { sql } from 'drizzle-orm';
import type { Db } from '../database/context.js';
import { GRADE_BITS } from '../shifts/bit-set.js';
import { toCounts } from './count-columns.js';
import type { DriveStratum, OutcomeCounts } from './fleet.js';

const graded = (grade: keyof typeof GRADE_BITS) => `sum(shifts.grades & ${GRADE_BITS[grade]} != 0)`;

/** In the order of `SLICE_COUNTS`. */
const COUNTS = sql.raw(`json_array(
  count(*), ${graded('flare')}, ${graded('tie-up')}, ${graded('harsh')}, ${graded('slow')}, ${graded('incomplete')},
  ${graded('clean')}, sum(shifts.inertia_start_s IS NOT NULL OR shifts.grades & ${GRADE_BITS.flare} != 0),
  count(shifts.tie_up_depth), count(shifts.peak_jerk), count(shifts.inertia_time_s))`);

/** From the shifts themselves: the summaries do not tell drives apart. One car has few enough of them. */
export function strataByDrive(db: Db, { vehicleId, untilMs }: { vehicleId: string; untilMs: number }): DriveStratum[] {
  const rows = db.all<Omit<DriveStratum, keyof OutcomeCounts> & { readonly counts: string }>(sql`
    SELECT
      shifts.log_id AS logId, shifts.revision_id AS revisionId, shifts.driven_at_ms AS drivenAtMs, shifts.kind AS kind,
      shifts.load_band AS loadBand, shifts.fluid_temperature_band AS fluidTemperatureBand, shifts.program AS program,
      ${COUNTS} AS counts
    FROM shifts WHERE shifts.vehicle_id = ${vehicleId} AND shifts.driven_at_ms <= ${untilMs}
    GROUP BY 1, 2, 3, 4, 5, 6, 7`);
  return rows.map(({ counts, ...stratum }) => ({ ...stratum, ...toCounts(JSON.parse(counts) as number[]) }));
}
