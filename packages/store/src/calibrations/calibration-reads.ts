import type { RevisionContent } from '@syncline/calibration';
import { asc, count, desc, eq, lt, sql } from 'drizzle-orm';
import type { Db } from '../database/context.js';
import { pageKey, pageOf } from '../page.js';
import { calibrations, contents, revisions } from '../schema/calibrations.js';
import { platforms } from '../schema/platforms.js';
import { installations, vehicles } from '../schema/vehicles.js';
import type { CalibrationReads } from './calibrations.js';
import { holdsAt, selectRevisions } from './revision-columns.js';

export function calibrationReads(db: Db, clock: () => number): CalibrationReads {
  const findContentText: CalibrationReads['findContentText'] = (revisionId) =>
    db
      .select({ contentHash: contents.hash, canonicalJson: contents.canonicalJson })
      .from(revisions)
      .innerJoin(contents, eq(contents.hash, revisions.contentHash))
      .where(eq(revisions.id, revisionId))
      .get();

  return {
    list({ cursor, limit }) {
      const key = pageKey(cursor);
      const rows = selectCalibrations(db, clock())
        .where(key && lt(calibrations.id, String(key[1])))
        .orderBy(desc(calibrations.id))
        .limit(limit + 1)
        .all();
      const totalCount = db.select({ value: count() }).from(calibrations).get()?.value ?? 0;
      return pageOf(rows, {
        limit,
        totalCount,
        keyOf: (row) => [null, row.id],
        toItem: ({ note: _note, ...summary }) => summary,
      });
    },

    find(calibrationId) {
      const now = clock();
      const calibration = selectCalibrations(db, now).where(eq(calibrations.id, calibrationId)).get();
      if (!calibration) return undefined;
      return {
        ...calibration,
        revisions: selectRevisions(db, now)
          .where(eq(revisions.calibrationId, calibrationId))
          .orderBy(asc(revisions.number))
          .all(),
        installations: currentInstallations(db, calibrationId, now),
      };
    },

    findRevision: (revisionId) => selectRevisions(db, clock()).where(eq(revisions.id, revisionId)).get(),

    findContentText,

    findContent(revisionId) {
      const text = findContentText(revisionId);
      return text && (JSON.parse(text.canonicalJson) as RevisionContent);
    },
  };
}

function selectCalibrations(db: Db, now: number) {
  return db
    .select({
      id: calibrations.id,
      title: calibrations.title,
      platformId: calibrations.platformId,
      platformTitle: platforms.title,
      note: calibrations.note,
      createdAtMs: calibrations.createdAtMs,
      revisionCount: sql<number>`(
        SELECT count(*) FROM revisions WHERE revisions.calibration_id = ${calibrations.id})`,
      newestRevisionNumber: sql<number | null>`(
        SELECT max(revisions.number) FROM revisions WHERE revisions.calibration_id = ${calibrations.id})`,
      vehicleCount: sql<number>`(
        SELECT count(DISTINCT installations.vehicle_id) FROM installations
        JOIN revisions ON revisions.id = installations.revision_id
        WHERE revisions.calibration_id = ${calibrations.id}
          AND installations.since_at_ms <= ${now}
          AND (installations.until_at_ms IS NULL OR installations.until_at_ms > ${now}))`,
    })
    .from(calibrations)
    .innerJoin(platforms, eq(platforms.id, calibrations.platformId));
}

function currentInstallations(db: Db, calibrationId: string, now: number) {
  return db
    .select({
      vehicleId: vehicles.id,
      vehicleTitle: vehicles.title,
      revisionId: revisions.id,
      revisionNumber: revisions.number,
      sinceAtMs: installations.sinceAtMs,
    })
    .from(installations)
    .innerJoin(revisions, eq(revisions.id, installations.revisionId))
    .innerJoin(vehicles, eq(vehicles.id, installations.vehicleId))
    .where(sql`${revisions.calibrationId} = ${calibrationId} AND ${holdsAt(now)}`)
    .orderBy(asc(vehicles.title), asc(vehicles.id))
    .all();
}
