import { and, asc, count, desc, eq, getTableColumns, inArray, max, type Placeholder, type SQL, sql } from 'drizzle-orm';
import type { Scope } from '../actor.js';
import { holdsAt, nameOf, revisionNameColumns } from '../calibrations/revision-columns.js';
import type { Db } from '../database/context.js';
import { once } from '../database/once.js';
import { NO_OUTCOMES, sumColumns } from '../fleet/count-columns.js';
import { pageKey, pageOf } from '../page.js';
import { calibrations, revisions } from '../schema/calibrations.js';
import { logs } from '../schema/logs.js';
import { people } from '../schema/people.js';
import { platforms } from '../schema/platforms.js';
import { fleetSlices } from '../schema/shifts.js';
import { dialectDecisions, dialectObservations, installations, signalMaps, vehicles } from '../schema/vehicles.js';
import { dialectVerdict, isDialectCleared } from './dialect-verdict.js';
import { holdingDecision, newestObservation, observed } from './observed-dialect.js';
import type { SavedSignalMap, VehicleDetail, VehicleReads } from './vehicles.js';

/** Only the cars of one owner, when the scope names one. */
export function isInScope(scope: Scope) {
  return scope.ownerId === undefined ? undefined : eq(vehicles.ownerId, scope.ownerId);
}

/** A query that is put together once for all rows and once for those of one owner, whose id it then takes as `ownerId`. */
export function oncePerScope<T>(make: (isInScope: SQL | undefined) => T): (scope: Scope) => T {
  const ofAll = once(() => make(undefined));
  const ofOwner = once(() => make(eq(vehicles.ownerId, sql.placeholder('ownerId'))));
  return ({ ownerId }) => (ownerId === undefined ? ofAll() : ofOwner());
}

export function vehicleReads(db: Db, clock: () => number): VehicleReads {
  const detailQuery = oncePerScope((inScope) =>
    selectVehicles(db, sql.placeholder('now'))
      .where(and(eq(vehicles.id, sql.placeholder('vehicleId')), inScope))
      .prepare(),
  );
  const identityQuery = oncePerScope((inScope) =>
    db
      .select({ id: vehicles.id, ownerId: vehicles.ownerId, platformId: vehicles.platformId })
      .from(vehicles)
      .where(and(eq(vehicles.id, sql.placeholder('vehicleId')), inScope))
      .prepare(),
  );
  return {
    list(scope, { cursor, limit }) {
      const key = pageKey(cursor);
      const title = sql`${vehicles.title} COLLATE NOCASE`;
      const rows = selectVehicles(db, clock())
        .where(and(isInScope(scope), key && sql`(${title}, ${vehicles.id}) > (${key[0]}, ${key[1]})`))
        .orderBy(asc(title), asc(vehicles.id))
        .limit(limit + 1)
        .all();
      const totalCount = db.select({ value: count() }).from(vehicles).where(isInScope(scope)).get()?.value ?? 0;
      const toSummary = withCounts(db, rows);
      return pageOf(rows, {
        limit,
        totalCount,
        keyOf: (row) => [row.title, row.id],
        toItem: (row) => {
          const { massKg: _m, ratedInputTorqueNm: _t, inputInertiaKgM2: _i, tyreRadiusM: _r, ...rest } = toSummary(row);
          const { finalDriveRatio: _f, note: _n, createdAtMs: _c, isFormer: _e, ...summary } = rest;
          return summary;
        },
      });
    },

    find(scope, vehicleId) {
      const row = detailQuery(scope).get({ ...scope, vehicleId, now: clock() });
      if (!row) return undefined;
      return {
        ...withCounts(db, [row])(row),
        installations: installationsOf(db, vehicleId),
        observations: observationsOf(db, vehicleId),
        decisions: decisionsOf(db, vehicleId),
      };
    },

    identify: (scope, vehicleId) => identityQuery(scope).get({ ...scope, vehicleId }),

    findInstalledAt(vehicleId, atMs) {
      const row = db
        .select(revisionNameColumns)
        .from(installations)
        .innerJoin(revisions, eq(revisions.id, installations.revisionId))
        .innerJoin(calibrations, eq(calibrations.id, revisions.calibrationId))
        .where(and(eq(installations.vehicleId, vehicleId), holdsAt(atMs)))
        .get();
      return (row && nameOf(row)) ?? undefined;
    },

    findSignalMaps(scope, vehicleId) {
      const isSeen = db
        .select({ id: vehicles.id })
        .from(vehicles)
        .where(and(eq(vehicles.id, vehicleId), isInScope(scope)))
        .get();
      return isSeen && signalMapsOf(db, vehicleId);
    },
  };
}

/** The maps of a car, in the order of the formats' names. */
export function signalMapsOf(db: Db, vehicleId: string): SavedSignalMap[] {
  return db
    .select({ format: signalMaps.format, map: signalMaps.document, updatedAtMs: signalMaps.updatedAtMs })
    .from(signalMaps)
    .where(eq(signalMaps.vehicleId, vehicleId))
    .orderBy(asc(signalMaps.format))
    .all();
}

function selectVehicles(db: Db, now: number | Placeholder) {
  return db
    .select({
      ...getTableColumns(vehicles),
      ownerName: people.name,
      ownerErasedAtMs: people.erasedAtMs,
      platformTitle: platforms.title,
      observedDialect: observed.dialect,
      observedAgainst: observed.declaredDialect,
      decision: dialectDecisions.decision,
      ...revisionNameColumns,
    })
    .from(vehicles)
    .innerJoin(people, eq(people.id, vehicles.ownerId))
    .innerJoin(platforms, eq(platforms.id, vehicles.platformId))
    .leftJoin(observed, newestObservation)
    .leftJoin(dialectDecisions, holdingDecision)
    .leftJoin(installations, and(eq(installations.vehicleId, vehicles.id), holdsAt(now)))
    .leftJoin(revisions, eq(revisions.id, installations.revisionId))
    .leftJoin(calibrations, eq(calibrations.id, revisions.calibrationId));
}

type VehicleRow = NonNullable<ReturnType<ReturnType<typeof selectVehicles>['get']>>;

/** Fetches the counts of all rows of a page at once; the result puts each row together. */
function withCounts(db: Db, rows: readonly VehicleRow[]) {
  const ids = rows.map((row) => row.id);
  const outcomes = db
    .select({ vehicleId: fleetSlices.vehicleId, ...sumColumns })
    .from(fleetSlices)
    .where(inArray(fleetSlices.vehicleId, ids))
    .groupBy(fleetSlices.vehicleId)
    .all();
  const drives = db
    .select({ vehicleId: logs.vehicleId, logCount: count(), lastDrivenAtMs: max(logs.drivenAtMs) })
    .from(logs)
    .where(inArray(logs.vehicleId, ids))
    .groupBy(logs.vehicleId)
    .all();
  const outcomeOf = new Map(outcomes.map(({ vehicleId, ...counts }) => [vehicleId, counts]));
  const drivesOf = new Map(drives.map(({ vehicleId, ...counts }) => [vehicleId, counts]));
  return (row: VehicleRow): Omit<VehicleDetail, 'installations' | 'observations' | 'decisions'> => {
    const { revisionId, revisionNumber, calibrationTitle, observedAgainst, decision, ownerErasedAtMs, ...vehicle } =
      row;
    const verdict = dialectVerdict(row.declaredDialect, { dialect: row.observedDialect, against: observedAgainst });
    return {
      ...vehicle,
      isFormer: ownerErasedAtMs !== null,
      dialectVerdict: verdict,
      isDialectCleared: isDialectCleared(verdict, decision),
      revision: nameOf({ revisionId, revisionNumber, calibrationTitle }),
      logCount: drivesOf.get(row.id)?.logCount ?? 0,
      lastDrivenAtMs: drivesOf.get(row.id)?.lastDrivenAtMs ?? null,
      counts: outcomeOf.get(row.id) ?? NO_OUTCOMES,
    };
  };
}

function installationsOf(db: Db, vehicleId: string) {
  return db
    .select({
      id: installations.id,
      sinceAtMs: installations.sinceAtMs,
      untilAtMs: installations.untilAtMs,
      contentHash: revisions.contentHash,
      revision: { id: revisions.id, calibrationTitle: calibrations.title, number: revisions.number },
    })
    .from(installations)
    .innerJoin(revisions, eq(revisions.id, installations.revisionId))
    .innerJoin(calibrations, eq(calibrations.id, revisions.calibrationId))
    .where(eq(installations.vehicleId, vehicleId))
    .orderBy(desc(installations.sinceAtMs), desc(installations.id))
    .all();
}

function observationsOf(db: Db, vehicleId: string) {
  const { vehicleId: _vehicleId, ...columns } = getTableColumns(dialectObservations);
  return db
    .select(columns)
    .from(dialectObservations)
    .where(eq(dialectObservations.vehicleId, vehicleId))
    .orderBy(desc(dialectObservations.observedAtMs), desc(dialectObservations.id))
    .all();
}

function decisionsOf(db: Db, vehicleId: string) {
  const { vehicleId: _vehicleId, ...columns } = getTableColumns(dialectDecisions);
  return db
    .select(columns)
    .from(dialectDecisions)
    .where(eq(dialectDecisions.vehicleId, vehicleId))
    .orderBy(desc(dialectDecisions.decidedAtMs), desc(dialectDecisions.id))
    .all();
}
