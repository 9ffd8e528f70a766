import type { Grade, SampleFindings } from '@syncline/shifts';
import { and, asc, count, desc, eq, getTableColumns, inArray, type SQL, sql } from 'drizzle-orm';
import type { Scope } from '../actor.js';
import { nameOf, revisionNameColumns } from '../calibrations/revision-columns.js';
import { captureReads } from '../captures/capture-reads.js';
import type { Db } from '../database/context.js';
import { dialectReads } from '../dialects/dialect-reads.js';
import { pageKey, pageOf } from '../page.js';
import { platformReads } from '../platforms/platform-reads.js';
import { calibrations, revisions } from '../schema/calibrations.js';
import { blobs, lockUps, logArtefacts, logs, notes } from '../schema/logs.js';
import { people } from '../schema/people.js';
import { platforms } from '../schema/platforms.js';
import { shifts } from '../schema/shifts.js';
import { vehicles } from '../schema/vehicles.js';
import { fromBits, GRADE_BITS } from '../shifts/bit-set.js';
import { newestObservation, observed } from '../vehicles/observed-dialect.js';
import { isInScope, oncePerScope, signalMapsOf } from '../vehicles/vehicle-reads.js';
import type { AnalysisInput, LogFilter, LogReads, LogSummary } from './logs.js';
import { problemOf } from './set-log-state.js';

export function logReads(db: Db): LogReads {
  const detailQuery = oncePerScope((inScope) =>
    selectLogs(db)
      .where(and(eq(logs.id, sql.placeholder('logId')), inScope))
      .prepare(),
  );
  const outlineQuery = oncePerScope((inScope) =>
    db
      .select({
        id: logs.id,
        vehicleId: logs.vehicleId,
        fileName: logs.fileName,
        state: logs.state,
        signalIds: logArtefacts.signalIds,
        signalFile: logArtefacts.signalFile,
        marks: logArtefacts.marks,
      })
      .from(logs)
      .innerJoin(vehicles, eq(vehicles.id, logs.vehicleId))
      .leftJoin(logArtefacts, eq(logArtefacts.logId, logs.id))
      .where(and(eq(logs.id, sql.placeholder('logId')), inScope))
      .prepare(),
  );
  return {
    list(scope, filter, { cursor, limit }) {
      const key = pageKey(cursor);
      const matches = whereFilter(scope, filter);
      const rows = selectLogs(db)
        .where(and(matches, key && sql`(${logs.drivenAtMs}, ${logs.id}) < (${key[0]}, ${key[1]})`))
        .orderBy(desc(logs.drivenAtMs), desc(logs.id))
        .limit(limit + 1)
        .all();
      const totalCount =
        db
          .select({ value: count() })
          .from(logs)
          .innerJoin(vehicles, eq(vehicles.id, logs.vehicleId))
          .where(matches)
          .get()?.value ?? 0;
      const toItem = withShiftCounts(db, rows);
      return pageOf(rows, { limit, totalCount, keyOf: (row) => [row.drivenAtMs, row.id], toItem });
    },

    find(scope, logId) {
      const row = detailQuery(scope).get({ ...scope, logId });
      if (!row) return undefined;
      const found = db.select().from(logArtefacts).where(eq(logArtefacts.logId, logId)).get();
      return {
        ...withShiftCounts(db, [row])(row),
        ownerId: row.ownerId,
        ownerName: row.ownerName,
        originalRemovedAtMs: row.originalRemovedAtMs,
        stated:
          row.statedCalibration === null ? null : { text: row.statedCalibration, revisionId: row.statedRevisionId },
        platformId: row.platformId,
        signalIds: found?.signalIds ?? [],
        signalFile: found?.signalFile ?? null,
        analysisVersion: found?.analysisVersion ?? null,
        policyVersion: found?.policyVersion ?? null,
        sampleFindings: reviveFindings(found?.sampleFindings ?? null),
        readFindings: found?.readFindings ?? null,
        inspection: found?.inspection ?? null,
        quality: found?.quality ?? null,
        capture: captureReads(db).find(logId) ?? null,
        marks: found?.marks ?? [],
      };
    },

    outline(scope, logId) {
      const row = outlineQuery(scope).get({ ...scope, logId });
      return row && { ...row, signalIds: row.signalIds ?? [], marks: row.marks ?? [] };
    },

    findByHash(vehicleId, sha256) {
      const row = selectLogs(db)
        .where(and(eq(logs.vehicleId, vehicleId), eq(logs.sha256, sha256)))
        .get();
      return row && withShiftCounts(db, [row])(row);
    },

    findAnalysisInput: (logId, policyVersion) => findAnalysisInput(db, logId, policyVersion),

    notes(logId) {
      const { logId: _logId, ...columns } = getTableColumns(notes);
      return db.select(columns).from(notes).where(eq(notes.logId, logId)).orderBy(asc(notes.atS), asc(notes.id)).all();
    },

    lockUps(logId) {
      const { logId: _logId, ...columns } = getTableColumns(lockUps);
      return db.select(columns).from(lockUps).where(eq(lockUps.logId, logId)).orderBy(asc(lockUps.id)).all();
    },
  };
}

function whereFilter(scope: Scope, filter: LogFilter): SQL | undefined {
  return and(
    isInScope(scope),
    filter.vehicleId === undefined ? undefined : eq(logs.vehicleId, filter.vehicleId),
    filter.state && eq(logs.state, filter.state),
    filter.revisionId === undefined ? undefined : eq(logs.revisionId, filter.revisionId),
  );
}

function selectLogs(db: Db) {
  return db
    .select({
      ...getTableColumns(logs),
      ...revisionNameColumns,
      sizeBytes: blobs.sizeBytes,
      originalRemovedAtMs: blobs.removedAtMs,
      vehicleTitle: vehicles.title,
      platformId: vehicles.platformId,
      ownerId: vehicles.ownerId,
      ownerName: people.name,
      /** Null before the first analysis that came to its end. */
      resultVersion: logArtefacts.analysisVersion,
    })
    .from(logs)
    .innerJoin(blobs, eq(blobs.sha256, logs.sha256))
    .innerJoin(vehicles, eq(vehicles.id, logs.vehicleId))
    .innerJoin(people, eq(people.id, vehicles.ownerId))
    .leftJoin(logArtefacts, eq(logArtefacts.logId, logs.id))
    .leftJoin(revisions, eq(revisions.id, logs.revisionId))
    .leftJoin(calibrations, eq(calibrations.id, revisions.calibrationId));
}

type LogRow = NonNullable<ReturnType<ReturnType<typeof selectLogs>['get']>>;

/** Counts the shifts of all rows of a page at once; the result puts each row together. */
function withShiftCounts(db: Db, rows: readonly LogRow[]): (row: LogRow) => LogSummary {
  const counted = db
    .select({ logId: shifts.logId, grades: shifts.grades, value: count() })
    .from(shifts)
    .where(
      inArray(
        shifts.logId,
        rows.map((row) => row.id),
      ),
    )
    .groupBy(shifts.logId, shifts.grades)
    .all();
  const shiftCountOf = new Map<string, number>();
  const gradesOf = new Map<string, Partial<Record<Grade, number>>>();
  for (const { logId, grades, value } of counted) {
    shiftCountOf.set(logId, (shiftCountOf.get(logId) ?? 0) + value);
    const gradeCounts = gradesOf.get(logId) ?? {};
    for (const grade of fromBits(GRADE_BITS, grades)) gradeCounts[grade] = (gradeCounts[grade] ?? 0) + value;
    gradesOf.set(logId, gradeCounts);
  }
  return (row) => ({
    id: row.id,
    vehicleId: row.vehicleId,
    vehicleTitle: row.vehicleTitle,
    fileName: row.fileName,
    sizeBytes: row.sizeBytes,
    sha256: row.sha256,
    uploadedAtMs: row.uploadedAtMs,
    drivenAtMs: row.drivenAtMs,
    revision: nameOf(row),
    state: row.state,
    progress: row.progress,
    durationS: row.durationS,
    shiftCount: shiftCountOf.get(row.id) ?? 0,
    grades: gradesOf.get(row.id) ?? {},
    problem: problemOf(row),
    showsEarlier: row.resultVersion !== null && row.state !== 'ready' && row.state !== 'refused',
  });
}

/** JSON has no NaN: a median of fewer than two samples comes back as null. */
function reviveFindings(findings: SampleFindings | null): SampleFindings | null {
  return findings && { ...findings, medianIntervalS: findings.medianIntervalS ?? Number.NaN };
}

function findAnalysisInput(db: Db, logId: string, policyVersion?: number): AnalysisInput | undefined {
  const row = db
    .select({
      log: logs,
      vehicle: vehicles,
      sizeBytes: blobs.sizeBytes,
      platform: platforms.document,
      observedDialect: observed.dialect,
    })
    .from(logs)
    .innerJoin(blobs, eq(blobs.sha256, logs.sha256))
    .innerJoin(vehicles, eq(vehicles.id, logs.vehicleId))
    .innerJoin(platforms, eq(platforms.id, vehicles.platformId))
    .leftJoin(observed, newestObservation)
    .where(eq(logs.id, logId))
    .get();
  const policy = row && platformReads(db).findPolicy(row.vehicle.platformId, policyVersion);
  if (!row || !policy) return undefined;
  const { log, vehicle } = row;
  return {
    logId,
    vehicleId: vehicle.id,
    ownerId: vehicle.ownerId,
    fileName: log.fileName,
    sha256: log.sha256,
    sizeBytes: row.sizeBytes,
    drivenAtMs: log.drivenAtMs,
    revisionId: log.revisionId,
    platform: row.platform,
    policy,
    car: {
      ratedInputTorqueNm: vehicle.ratedInputTorqueNm,
      inputInertiaKgM2: vehicle.inputInertiaKgM2,
      tyreRadiusM: vehicle.tyreRadiusM,
      finalDriveRatio: vehicle.finalDriveRatio,
    },
    dialectId: row.observedDialect ?? vehicle.declaredDialect,
    signalLists: dialectReads(db).signalListVersions(vehicle.platformId),
    signalMaps: Object.fromEntries(signalMapsOf(db, vehicle.id).map(({ format, map }) => [format, map])),
  };
}
