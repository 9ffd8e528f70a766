import { and, asc, count, desc, eq, inArray, isNull, type SQL, sql } from 'drizzle-orm';
import type { Scope } from '../actor.js';
import { holdsAt, nameOf, revisionNameColumns } from '../calibrations/revision-columns.js';
import type { Db } from '../database/context.js';
import { pageKey, pageOf } from '../page.js';
import { calibrations, revisions } from '../schema/calibrations.js';
import { people } from '../schema/people.js';
import { platforms } from '../schema/platforms.js';
import { driveRequests, requestCars, requestTallies } from '../schema/requests.js';
import { dialectDecisions, installations, vehicles } from '../schema/vehicles.js';
import { dialectVerdict, isDialectCleared } from '../vehicles/dialect-verdict.js';
import { holdingDecision, newestObservation, observed } from '../vehicles/observed-dialect.js';
import { isInScope } from '../vehicles/vehicle-reads.js';
import { countBrought } from './count-brought.js';
import type { AskableCar, BroughtShifts, DriveRequest, RequestCar, RequestReads } from './requests.js';

export function requestReads(db: Db, clock: () => number): RequestReads {
  return {
    list(scope, { platformId, state }, { cursor, limit }) {
      const key = pageKey(cursor);
      const isMeant = and(
        isAskedOf(scope),
        platformId === undefined ? undefined : eq(driveRequests.platformId, platformId),
        state && eq(driveRequests.state, state),
      );
      const rows = selectRequests(db)
        .where(and(isMeant, key && sql`${driveRequests.id} < ${key[1]}`))
        .orderBy(desc(driveRequests.id))
        .limit(limit + 1)
        .all();
      const totalCount = db.select({ value: count() }).from(driveRequests).where(isMeant).get()?.value ?? 0;
      const toItem = withCars(db, rows, scope);
      return pageOf(rows, { limit, totalCount, keyOf: ({ request }) => [null, request.id], toItem });
    },

    find(scope, requestId) {
      const row = selectRequests(db)
        .where(and(eq(driveRequests.id, requestId), isAskedOf(scope)))
        .get();
      return row && withCars(db, [row], scope)(row);
    },

    listOpen() {
      const rows = selectRequests(db).where(eq(driveRequests.state, 'open')).orderBy(asc(driveRequests.id)).all();
      return rows.map(withCars(db, rows, {}));
    },

    cars: ({ platformId }) => cars(db, clock(), platformId),
  };
}

function selectRequests(db: Db) {
  return db
    .select({ request: driveRequests, platformTitle: platforms.title, ...revisionNameColumns })
    .from(driveRequests)
    .innerJoin(platforms, eq(platforms.id, driveRequests.platformId))
    .leftJoin(revisions, eq(revisions.id, driveRequests.revisionId))
    .leftJoin(calibrations, eq(calibrations.id, revisions.calibrationId));
}
type RequestRow = NonNullable<ReturnType<ReturnType<typeof selectRequests>['get']>>;

/** Requests that name a car in scope. */
function isAskedOf({ ownerId }: Scope): SQL | undefined {
  if (ownerId === undefined) return undefined;
  return sql`${driveRequests.id} IN (
    SELECT request_cars.request_id FROM request_cars
    JOIN vehicles ON vehicles.id = request_cars.vehicle_id WHERE vehicles.owner_id = ${ownerId})`;
}

/** Fetches cars and counts of all rows at once; the result puts each row together. */
function withCars(db: Db, rows: readonly RequestRow[], scope: Scope): (row: RequestRow) => DriveRequest {
  const ids = rows.map(({ request }) => request.id);
  const carsOf = groupByRequest(carsIn(db, ids, scope));
  const openIds = rows.filter(({ request }) => request.state === 'open').map(({ request }) => request.id);
  const broughtOf = groupByRequest([...countBrought(db, openIds), ...talliesOf(db, ids)]);
  return (row) => {
    const { revisionId: _revisionId, createdById: _createdById, ...request } = row.request;
    return {
      ...request,
      platformTitle: row.platformTitle,
      revision: nameOf(row),
      cars: carsOf.get(request.id) ?? [],
      brought: broughtOf.get(request.id) ?? [],
    };
  };
}

function carsIn(db: Db, requestIds: readonly string[], scope: Scope): (RequestCar & { readonly requestId: string })[] {
  return db
    .select({
      requestId: requestCars.requestId,
      vehicleId: vehicles.id,
      title: vehicles.title,
      ownerId: vehicles.ownerId,
      ownerName: people.name,
      state: requestCars.state,
      reason: requestCars.reason,
      answeredAtMs: requestCars.answeredAtMs,
    })
    .from(requestCars)
    .innerJoin(vehicles, eq(vehicles.id, requestCars.vehicleId))
    .innerJoin(people, eq(people.id, vehicles.ownerId))
    .where(and(inArray(requestCars.requestId, [...requestIds]), isInScope(scope)))
    .orderBy(asc(sql`${vehicles.title} COLLATE NOCASE`), asc(vehicles.id))
    .all();
}

function talliesOf(db: Db, requestIds: readonly string[]): (BroughtShifts & { readonly requestId: string })[] {
  return db
    .select()
    .from(requestTallies)
    .where(inArray(requestTallies.requestId, [...requestIds]))
    .orderBy(asc(requestTallies.vehicleId))
    .all();
}

function groupByRequest<T extends { readonly requestId: string }>(
  rows: readonly T[],
): Map<string, Omit<T, 'requestId'>[]> {
  const groups = new Map<string, Omit<T, 'requestId'>[]>();
  for (const { requestId, ...row } of rows) {
    const group = groups.get(requestId) ?? [];
    group.push(row);
    groups.set(requestId, group);
  }
  return groups;
}

function cars(db: Db, now: number, platformId: string | undefined): AskableCar[] {
  return db
    .select({
      vehicleId: vehicles.id,
      title: vehicles.title,
      ownerName: people.name,
      platformId: vehicles.platformId,
      engine: vehicles.engine,
      declaredDialect: vehicles.declaredDialect,
      observedDialect: observed.dialect,
      observedAgainst: observed.declaredDialect,
      decision: dialectDecisions.decision,
      lastDrivenAtMs: sql<number | null>`(
        SELECT max(logs.driven_at_ms) FROM logs WHERE logs.vehicle_id = ${vehicles.id})`,
      openRequests: sql<number>`(
        SELECT count(*) FROM request_cars JOIN drive_requests ON drive_requests.id = request_cars.request_id
        WHERE request_cars.vehicle_id = ${vehicles.id} AND request_cars.state = 'asked'
          AND drive_requests.state = 'open')`,
      ...revisionNameColumns,
    })
    .from(vehicles)
    .innerJoin(people, eq(people.id, vehicles.ownerId))
    .leftJoin(observed, newestObservation)
    .leftJoin(dialectDecisions, holdingDecision)
    .leftJoin(installations, and(eq(installations.vehicleId, vehicles.id), holdsAt(now)))
    .leftJoin(revisions, eq(revisions.id, installations.revisionId))
    .leftJoin(calibrations, eq(calibrations.id, revisions.calibrationId))
    .where(
      and(
        // Nobody is behind a car whose person had her data removed.
        isNull(people.erasedAtMs),
        platformId === undefined ? undefined : eq(vehicles.platformId, platformId),
      ),
    )
    .orderBy(asc(sql`${vehicles.title} COLLATE NOCASE`), asc(vehicles.id))
    .all()
    .map(({ observedAgainst, decision, revisionId, revisionNumber, calibrationTitle, ...car }) => {
      const verdict = dialectVerdict(car.declaredDialect, { dialect: car.observedDialect, against: observedAgainst });
      return {
        ...car,
        dialectVerdict: verdict,
        isDialectCleared: isDialectCleared(verdict, decision),
        revision: nameOf({ revisionId, revisionNumber, calibrationTitle }),
      };
    });
}
