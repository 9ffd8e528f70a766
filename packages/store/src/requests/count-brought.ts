import { sql } from 'drizzle-orm';
import type { Db } from '../database/context.js';
import { GRADE_BITS } from '../shifts/bit-set.js';
import type { BroughtShifts } from './requests.js';

/**
 * Shifts of each car of the platform that came in since these requests and in which a flare could be told, as the
 * evidence of a point is counted. Goes through the shifts of each point, which are few where something is asked for; the
 * order of the joins is written out (CROSS JOIN) because the planner would else go through every drive.
 */
export function countBrought(
  db: Db,
  requestIds: readonly string[],
): (BroughtShifts & { readonly requestId: string })[] {
  if (requestIds.length === 0) return [];
  return db.all(sql`
    SELECT drive_requests.id AS requestId, shifts.vehicle_id AS vehicleId, count(*) AS shifts
    FROM drive_requests
    CROSS JOIN shifts ON shifts.platform_id = drive_requests.platform_id
      AND shifts.kind = drive_requests.kind
      AND shifts.load_band = drive_requests.load_band
      AND shifts.fluid_temperature_band = drive_requests.fluid_temperature_band
    CROSS JOIN logs ON logs.id = shifts.log_id AND logs.uploaded_at_ms > drive_requests.created_at_ms
    WHERE drive_requests.id IN (${sql.join([...requestIds], sql`, `)})
      AND (drive_requests.revision_id IS NULL OR shifts.revision_id = drive_requests.revision_id)
      AND (drive_requests.program IS NULL OR shifts.program = drive_requests.program)
      AND (shifts.inertia_start_s IS NOT NULL OR shifts.grades & ${GRADE_BITS.flare} <> 0)
    GROUP BY 1, 2
    ORDER BY 1, 2`);
}
