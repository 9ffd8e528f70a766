import { and, asc, eq, getTableColumns, sql } from 'drizzle-orm';
import type { Db } from '../database/context.js';
import { problemOf } from '../logs/set-log-state.js';
import { blobs, logs } from '../schema/logs.js';
import { uploads } from '../schema/uploads.js';
import { vehicles } from '../schema/vehicles.js';
import type { Upload, UploadOutcome, UploadReads } from './uploads.js';

export function uploadReads(db: Db): UploadReads {
  return {
    find(uploadId) {
      const row = selectUploads(db).where(eq(uploads.id, uploadId)).get();
      return row && toUpload(row);
    },

    listOf: (personId, vehicleId) =>
      selectUploads(db)
        .where(
          and(eq(uploads.personId, personId), vehicleId === undefined ? undefined : eq(uploads.vehicleId, vehicleId)),
        )
        .orderBy(asc(uploads.createdAtMs), asc(uploads.id))
        .all()
        .map(toUpload),

    listReceiving: () =>
      selectUploads(db).where(eq(uploads.state, 'receiving')).orderBy(asc(uploads.id)).all().map(toUpload),

    roomOf(ownerId) {
      const stored = db
        .select({ bytes: sql<number>`coalesce(sum(${blobs.sizeBytes}), 0)` })
        .from(logs)
        .innerJoin(blobs, eq(blobs.sha256, logs.sha256))
        .innerJoin(vehicles, eq(vehicles.id, logs.vehicleId))
        .where(eq(vehicles.ownerId, ownerId))
        .get();
      const pending = db
        .select({ bytes: sql<number>`coalesce(sum(${uploads.sizeBytes}), 0)` })
        .from(uploads)
        .innerJoin(vehicles, eq(vehicles.id, uploads.vehicleId))
        .where(and(eq(vehicles.ownerId, ownerId), eq(uploads.state, 'receiving')))
        .get();
      return { storedBytes: stored?.bytes ?? 0, pendingBytes: pending?.bytes ?? 0 };
    },

    findTwin: (logId) =>
      db.get<{ id: string; fileName: string } | undefined>(sql`
        SELECT other.id AS id, other.file_name AS fileName
        FROM logs AS mine
        LEFT JOIN packed_contents AS mine_packed ON mine_packed.sha256 = mine.sha256
        JOIN logs AS other ON other.vehicle_id = mine.vehicle_id AND other.sha256 <> mine.sha256
        LEFT JOIN packed_contents AS other_packed ON other_packed.sha256 = other.sha256
        WHERE mine.id = ${logId}
          AND coalesce(other_packed.content_sha256, other.sha256) = coalesce(mine_packed.content_sha256, mine.sha256)
        ORDER BY other.id LIMIT 1`),
  };
}

function selectUploads(db: Db) {
  return db
    .select({ ...getTableColumns(uploads), vehicleTitle: vehicles.title, ownerId: vehicles.ownerId })
    .from(uploads)
    .innerJoin(vehicles, eq(vehicles.id, uploads.vehicleId));
}

type UploadRow = NonNullable<ReturnType<ReturnType<typeof selectUploads>['get']>>;

function toUpload(row: UploadRow): Upload {
  const {
    state: _s,
    logId: _l,
    isDuplicate: _d,
    problemCode: _c,
    problemDetail: _t,
    problemRemedy: _r,
    ...upload
  } = row;
  return { ...upload, outcome: outcomeOf(row) };
}

function outcomeOf(row: UploadRow): UploadOutcome {
  const { state, logId, isDuplicate } = row;
  if (state === 'done' && logId !== null) return { state, logId, isDuplicate: isDuplicate ?? false };
  const problem = problemOf(row);
  if (state === 'refused' && problem !== null) return { state, problem };
  return { state: 'receiving' };
}
