import { and, asc, count, desc, eq, getTableColumns, inArray, ne, sql } from 'drizzle-orm';
import { alias } from 'drizzle-orm/sqlite-core';
import type { Db } from '../database/context.js';
import { pageKey, pageOf } from '../page.js';
import { calibrations, revisions } from '../schema/calibrations.js';
import { logs } from '../schema/logs.js';
import { platforms } from '../schema/platforms.js';
import { downloads, releaseCars, releaseEvents, releaseLooks, releases } from '../schema/releases.js';
import { fleetSlices } from '../schema/shifts.js';
import { vehicles } from '../schema/vehicles.js';
import { releasableCars } from './releasable-cars.js';
import type { Download, Release, ReleaseLook, ReleaseReads } from './releases.js';
import { watchedRows } from './watched-rows.js';

const replaced = alias(revisions, 'replaced');
const replacedCalibration = alias(calibrations, 'replaced_calibration');

/** Ids go by the clock, which can be set back between two starts. */
const AS_WRITTEN = sql`release_events.rowid`;

export function releaseReads(db: Db, clock: () => number): ReleaseReads {
  return {
    list({ platformId, state }, { cursor, limit }) {
      const key = pageKey(cursor);
      const isMeant = and(
        platformId === undefined ? undefined : eq(releases.platformId, platformId),
        state && eq(releases.state, state),
      );
      const rows = selectReleases(db)
        .where(and(isMeant, key && sql`${releases.id} < ${key[1]}`))
        .orderBy(desc(releases.id))
        .limit(limit + 1)
        .all();
      const ids = rows.map(({ release }) => release.id);
      const counts = countCars(db, ids);
      const reasons = stateReasons(db, ids);
      const totalCount = db.select({ value: count() }).from(releases).where(isMeant).get()?.value ?? 0;
      return pageOf(rows, {
        limit,
        totalCount,
        keyOf: ({ release }) => [null, release.id],
        toItem: (row) => ({
          ...toRelease(row),
          ...(counts.get(row.release.id) ?? { taken: 0, installed: 0, driven: 0 }),
          stateReason: reasons.get(row.release.id) ?? '',
        }),
      });
    },

    find(releaseId) {
      const row = selectReleases(db).where(eq(releases.id, releaseId)).get();
      return row && toRelease(row);
    },

    ofVehicle(vehicleId) {
      const cars = db.select().from(releaseCars).where(eq(releaseCars.vehicleId, vehicleId)).all();
      const carOf = new Map(cars.map((car) => [car.releaseId, car]));
      return selectReleases(db)
        .where(inArray(releases.id, [...carOf.keys()]))
        .orderBy(desc(releases.id))
        .all()
        .flatMap((row) => {
          const car = carOf.get(row.release.id);
          return car ? [{ ...toRelease(row), car }] : [];
        });
    },

    listWatched: (revisionId) =>
      selectReleases(db)
        .where(
          and(
            inArray(releases.state, ['running', 'complete']),
            revisionId === undefined ? undefined : eq(releases.revisionId, revisionId),
          ),
        )
        .orderBy(asc(releases.id))
        .all()
        .map(toRelease),

    findNewestOfContent(contentHash) {
      const row = selectReleases(db)
        .where(and(eq(releases.contentHash, contentHash), ne(releases.state, 'draft')))
        .orderBy(desc(releases.id))
        .limit(1)
        .get();
      return row && toRelease(row);
    },

    events(releaseId) {
      const { releaseId: _releaseId, ...columns } = getTableColumns(releaseEvents);
      return db
        .select(columns)
        .from(releaseEvents)
        .where(eq(releaseEvents.releaseId, releaseId))
        .orderBy(AS_WRITTEN)
        .all();
    },

    cars: (releaseId) => db.select().from(releaseCars).where(eq(releaseCars.releaseId, releaseId)).all(),

    looks: (releaseId, limit) => newestLooks(db, releaseId, limit).reverse(),

    findLastLook: (releaseId) => newestLooks(db, releaseId, 1)[0],

    downloads: (of, limit) => listDownloads(db, of, limit),

    releasableCars: releasableCars(db, clock),

    // Every change is audited, but for what a capture shows of a bus.
    cohortVersion: () =>
      db.get<{ version: string }>(sql`
        SELECT (SELECT coalesce(max(id), 0) FROM audit) || '/' || count(*) || '/' || coalesce(max(id), '') AS version
        FROM dialect_observations`).version,

    evidence: (releaseId) =>
      db.get<{ shifts: number; vehicles: number }>(sql`
        SELECT coalesce(sum(fleet_slices.shifts), 0) AS shifts, count(DISTINCT fleet_slices.vehicle_id) AS vehicles
        FROM releases
        JOIN release_cars ON release_cars.release_id = releases.id
        JOIN fleet_slices ON fleet_slices.platform_id = releases.platform_id
          AND fleet_slices.revision_id = releases.revision_id AND fleet_slices.vehicle_id = release_cars.vehicle_id
        WHERE releases.id = ${releaseId}`),

    vehiclesUnder: (revisionId) =>
      db
        .selectDistinct({ vehicleId: logs.vehicleId })
        .from(logs)
        .where(eq(logs.revisionId, revisionId))
        .orderBy(asc(logs.vehicleId))
        .all()
        .map(({ vehicleId }) => vehicleId),

    watchedRows: (input) => watchedRows(db, input),
  };
}

function selectReleases(db: Db) {
  return db
    .select({
      release: getTableColumns(releases),
      platformTitle: platforms.title,
      number: revisions.number,
      layoutVersion: revisions.layoutVersion,
      calibrationTitle: calibrations.title,
      replacedNumber: replaced.number,
      replacedTitle: replacedCalibration.title,
    })
    .from(releases)
    .innerJoin(platforms, eq(platforms.id, releases.platformId))
    .innerJoin(revisions, eq(revisions.id, releases.revisionId))
    .innerJoin(calibrations, eq(calibrations.id, revisions.calibrationId))
    .leftJoin(replaced, eq(replaced.id, releases.replacesId))
    .leftJoin(replacedCalibration, eq(replacedCalibration.id, replaced.calibrationId));
}

type ReleaseRow = NonNullable<ReturnType<ReturnType<typeof selectReleases>['get']>>;

function toRelease({ release, ...row }: ReleaseRow): Release {
  const { revisionId, replacesId, ...rest } = release;
  return {
    ...rest,
    platformTitle: row.platformTitle,
    layoutVersion: row.layoutVersion,
    revision: { id: revisionId, calibrationTitle: row.calibrationTitle, number: row.number },
    replaces:
      replacesId === null || row.replacedNumber === null || row.replacedTitle === null
        ? null
        : { id: replacesId, calibrationTitle: row.replacedTitle, number: row.replacedNumber },
  };
}

function countCars(db: Db, releaseIds: readonly string[]) {
  const rows = db
    .select({
      releaseId: releaseCars.releaseId,
      taken: count(),
      installed: sql<number>`sum(${releaseCars.answer} = 'installed')`,
      driven: count(fleetSlices.id),
    })
    .from(releaseCars)
    .innerJoin(releases, eq(releases.id, releaseCars.releaseId))
    .leftJoin(
      fleetSlices,
      and(
        eq(fleetSlices.platformId, releases.platformId),
        eq(fleetSlices.revisionId, releases.revisionId),
        eq(fleetSlices.vehicleId, releaseCars.vehicleId),
      ),
    )
    .where(inArray(releaseCars.releaseId, [...releaseIds]))
    .groupBy(releaseCars.releaseId)
    .all();
  return new Map(rows.map(({ releaseId, ...counts }) => [releaseId, counts]));
}

/** Why each is held or was recalled, by release. */
function stateReasons(db: Db, releaseIds: readonly string[]): Map<string, string> {
  const rows = db
    .select({ releaseId: releaseEvents.releaseId, reason: releaseEvents.reason })
    .from(releaseEvents)
    .innerJoin(releases, eq(releases.id, releaseEvents.releaseId))
    .where(
      and(
        inArray(releaseEvents.releaseId, [...releaseIds]),
        sql`${releaseEvents.kind} = CASE ${releases.state} WHEN 'held' THEN 'hold' WHEN 'recalled' THEN 'recall' END`,
      ),
    )
    .orderBy(AS_WRITTEN)
    .all();
  return new Map(rows.map(({ releaseId, reason }) => [releaseId, reason]));
}

function newestLooks(db: Db, releaseId: string, limit: number): ReleaseLook[] {
  const { releaseId: _releaseId, ...columns } = getTableColumns(releaseLooks);
  return db
    .select(columns)
    .from(releaseLooks)
    .where(eq(releaseLooks.releaseId, releaseId))
    .orderBy(desc(releaseLooks.id))
    .limit(limit)
    .all();
}

function listDownloads(db: Db, of: Parameters<ReleaseReads['downloads']>[0], limit: number): Download[] {
  const isMeant = 'releaseId' in of ? eq(downloads.releaseId, of.releaseId) : eq(downloads.vehicleId, of.vehicleId);
  return db
    .select({
      download: getTableColumns(downloads),
      vehicleTitle: vehicles.title,
      number: revisions.number,
      calibrationTitle: calibrations.title,
    })
    .from(downloads)
    .innerJoin(vehicles, eq(vehicles.id, downloads.vehicleId))
    .innerJoin(revisions, eq(revisions.id, downloads.revisionId))
    .innerJoin(calibrations, eq(calibrations.id, revisions.calibrationId))
    .where(isMeant)
    .orderBy(desc(downloads.id))
    .limit(limit)
    .all()
    .map(({ download, vehicleTitle, number, calibrationTitle }) => {
      const { revisionId, personId: _personId, ...rest } = download;
      return { ...rest, vehicleTitle, revision: { id: revisionId, calibrationTitle, number } };
    });
}
