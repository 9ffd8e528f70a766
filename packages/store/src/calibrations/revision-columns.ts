import { and, eq, gt, isNull, lte, or, type Placeholder, sql } from 'drizzle-orm';
import { alias } from 'drizzle-orm/sqlite-core';
import type { Db } from '../database/context.js';
import { calibrations, revisions } from '../schema/calibrations.js';
import { installations } from '../schema/vehicles.js';

const parent = alias(revisions, 'parent');

/** What names a revision, for a left join; `nameOf` puts it together. */
export const revisionNameColumns = {
  revisionId: revisions.id,
  revisionNumber: revisions.number,
  calibrationTitle: calibrations.title,
};

/** The name of a joined revision; null when the join found none. */
export function nameOf(row: {
  readonly revisionId: string | null;
  readonly revisionNumber: number | null;
  readonly calibrationTitle: string | null;
}): { id: string; calibrationTitle: string; number: number } | null {
  if (row.revisionId === null || row.revisionNumber === null || row.calibrationTitle === null) return null;
  return { id: row.revisionId, calibrationTitle: row.calibrationTitle, number: row.revisionNumber };
}

/** An installation that holds at an instant. */
export function holdsAt(atMs: number | Placeholder) {
  return and(
    lte(installations.sinceAtMs, atMs),
    or(isNull(installations.untilAtMs), gt(installations.untilAtMs, atMs)),
  );
}

/** Revisions with the counts that every page shows beside them. Add `where` and `orderBy`. */
export function selectRevisions(db: Db, now: number) {
  return db
    .select({
      id: revisions.id,
      calibrationId: revisions.calibrationId,
      calibrationTitle: calibrations.title,
      number: revisions.number,
      parentId: revisions.parentId,
      parentNumber: parent.number,
      mergeParentId: revisions.mergeParentId,
      revertsId: revisions.revertsId,
      line: revisions.line,
      reviewState: sql<'none' | 'open' | 'approved' | 'sentBack'>`coalesce((
        SELECT reviews.state FROM reviews
        WHERE reviews.calibration_id = ${revisions.calibrationId} AND reviews.content_hash = ${revisions.contentHash}
          AND reviews.state <> 'withdrawn'
        ORDER BY reviews.id DESC LIMIT 1), 'none')`,
      authorName: revisions.authorName,
      message: revisions.message,
      contentHash: revisions.contentHash,
      createdAtMs: revisions.createdAtMs,
      platformId: revisions.platformId,
      layoutVersion: revisions.layoutVersion,
      vehicleCount: sql<number>`(
        SELECT count(DISTINCT installations.vehicle_id) FROM installations
        WHERE installations.revision_id = ${revisions.id}
          AND installations.since_at_ms <= ${now}
          AND (installations.until_at_ms IS NULL OR installations.until_at_ms > ${now}))`,
      logCount: sql<number>`(SELECT count(*) FROM logs WHERE logs.revision_id = ${revisions.id})`,
      shiftCount: sql<number>`(
        SELECT coalesce(sum(fleet_slices.shifts), 0) FROM fleet_slices
        WHERE fleet_slices.platform_id = ${revisions.platformId} AND fleet_slices.revision_id = ${revisions.id})`,
    })
    .from(revisions)
    .innerJoin(calibrations, eq(calibrations.id, revisions.calibrationId))
    .leftJoin(parent, eq(parent.id, revisions.parentId));
}
