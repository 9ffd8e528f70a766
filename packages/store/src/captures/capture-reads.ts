import { and, desc, eq, getTableColumns, sql } from 'drizzle-orm';
import type { Db } from '../database/context.js';
import { busCaptures } from '../schema/captures.js';
import { logs } from '../schema/logs.js';
import { vehicles } from '../schema/vehicles.js';
import { compareDialects, dialectVerdict } from '../vehicles/dialect-verdict.js';
import { newestObservation, observed } from '../vehicles/observed-dialect.js';
import { isInScope } from '../vehicles/vehicle-reads.js';
import type { CaptureReads, CheckedCapture } from './captures.js';

export function captureReads(db: Db): CaptureReads {
  return {
    find(logId) {
      const row = selectChecked(db).where(eq(busCaptures.logId, logId)).get();
      return row && toChecked(row);
    },

    ofVehicle: (vehicleId, limit) =>
      selectChecked(db)
        .where(eq(busCaptures.vehicleId, vehicleId))
        .orderBy(desc(logs.uploadedAtMs), desc(logs.id))
        .limit(limit)
        .all()
        .map(toChecked),

    findLearnable: (logId) =>
      db
        .select({
          logId: busCaptures.logId,
          fileName: logs.fileName,
          vehicleId: busCaptures.vehicleId,
          platformId: vehicles.platformId,
          busInterface: busCaptures.busInterface,
          traffics: busCaptures.traffics,
        })
        .from(busCaptures)
        .innerJoin(logs, eq(logs.id, busCaptures.logId))
        .innerJoin(vehicles, eq(vehicles.id, busCaptures.vehicleId))
        .where(eq(busCaptures.logId, logId))
        .get(),

    listOfPlatform: (scope, platformId, limit) =>
      db
        .select({
          logId: busCaptures.logId,
          fileName: logs.fileName,
          uploadedAtMs: logs.uploadedAtMs,
          vehicleId: vehicles.id,
          vehicleTitle: vehicles.title,
          declaredDialect: vehicles.declaredDialect,
          observedDialect: observed.dialect,
          observedAgainst: observed.declaredDialect,
          frames: busCaptures.frames,
          durationS: busCaptures.durationS,
          identifierCount: busCaptures.identifierCount,
        })
        .from(busCaptures)
        .innerJoin(logs, eq(logs.id, busCaptures.logId))
        .innerJoin(vehicles, eq(vehicles.id, busCaptures.vehicleId))
        .leftJoin(observed, newestObservation)
        .where(and(eq(vehicles.platformId, platformId), isInScope(scope)))
        .orderBy(desc(logs.uploadedAtMs), desc(logs.id))
        .limit(limit)
        .all()
        .map(({ observedAgainst, ...row }) => ({
          ...row,
          verdict: dialectVerdict(row.declaredDialect, { dialect: row.observedDialect, against: observedAgainst }),
        })),

    listNewest: (platformId) =>
      db
        .select({ logId: busCaptures.logId })
        .from(busCaptures)
        .innerJoin(vehicles, eq(vehicles.id, busCaptures.vehicleId))
        .where(
          and(
            eq(vehicles.platformId, platformId),
            sql`${busCaptures.logId} = (
              SELECT newer.id FROM logs AS newer INNER JOIN bus_captures AS capture ON capture.log_id = newer.id
              WHERE capture.vehicle_id = ${vehicles.id} ORDER BY newer.uploaded_at_ms DESC, newer.id DESC LIMIT 1)`,
          ),
        )
        .all()
        .map(({ logId }) => logId),
  };
}

/** All but the traffic, which only learning needs. */
function selectChecked(db: Db) {
  const { traffics: _traffics, vehicleId: _vehicleId, observationId: _id, ...columns } = getTableColumns(busCaptures);
  return db
    .select({ ...columns, fileName: logs.fileName, uploadedAtMs: logs.uploadedAtMs })
    .from(busCaptures)
    .innerJoin(logs, eq(logs.id, busCaptures.logId));
}

type CheckedRow = NonNullable<ReturnType<ReturnType<typeof selectChecked>['get']>>;

function toChecked({ observedDialect, ...row }: CheckedRow): CheckedCapture {
  return { ...row, observed: observedDialect, verdict: compareDialects(row.declaredDialect, observedDialect) };
}
