import { and, eq, inArray, isNull } from 'drizzle-orm';
import type { Actor } from '../actor.js';
import { appendAudit } from '../audit/append-audit.js';
import type { WriteContext } from '../database/context.js';
import { insertRows } from '../database/insert-rows.js';
import { revisions } from '../schema/calibrations.js';
import { people } from '../schema/people.js';
import { platforms } from '../schema/platforms.js';
import { driveRequests, requestCars, requestTallies } from '../schema/requests.js';
import { vehicles } from '../schema/vehicles.js';
import { StoreError } from '../store-error.js';
import { isInScope } from '../vehicles/vehicle-reads.js';
import { countBrought } from './count-brought.js';
import type { RequestWrites } from './requests.js';

const CLOSING_ACTIONS = { met: 'request.meet', withdrawn: 'request.withdraw', expired: 'request.expire' } as const;

export function requestWrites(context: WriteContext): RequestWrites {
  const { db, clock, ids, transaction } = context;

  function getOpen(requestId: string) {
    const request = db.select().from(driveRequests).where(eq(driveRequests.id, requestId)).get();
    if (!request) throw new StoreError('not_found', `There is no drive request '${requestId}'.`);
    if (request.state !== 'open') throw new StoreError('request_closed', `The drive request is ${request.state}.`);
    return request;
  }

  function note(actor: Actor, action: string, requestId: string, detail: string): void {
    appendAudit(context, { actor, action, target: `request:${requestId}`, detail });
  }

  return {
    send: ({ actor, drive, vehicleIds, expiresAtMs }) =>
      transaction(() => {
        checkTargets(context, drive, vehicleIds);
        const id = ids();
        const request = { id, ...drive, state: 'open', createdByName: actor.name } as const;
        db.insert(driveRequests)
          .values({ ...request, createdById: actor.id, createdAtMs: clock(), expiresAtMs })
          .run();
        insertRows(
          db,
          requestCars,
          vehicleIds.map((vehicleId) => ({ requestId: id, vehicleId, state: 'asked', reason: '', answeredAtMs: null })),
        );
        const asked = `${drive.wantedShifts} shifts of ${drive.wantedVehicles} cars, asked of ${vehicleIds.length}`;
        note(actor, 'request.send', id, `${drive.words} (${asked})`);
        return id;
      }),

    close: ({ actor, requestId, state, note: closingNote }) =>
      transaction(() => {
        const { words } = getOpen(requestId);
        insertRows(db, requestTallies, countBrought(db, [requestId]));
        db.update(driveRequests)
          .set({ state, closedAtMs: clock(), closedByName: actor.name, closingNote })
          .where(eq(driveRequests.id, requestId))
          .run();
        note(actor, CLOSING_ACTIONS[state], requestId, [words, closingNote].filter(Boolean).join(': '));
      }),

    answer: ({ actor, scope, requestId, vehicleId, state, reason }) =>
      transaction(() => {
        const car = db
          .select({ title: vehicles.title })
          .from(requestCars)
          .innerJoin(vehicles, eq(vehicles.id, requestCars.vehicleId))
          .where(and(eq(requestCars.requestId, requestId), eq(vehicles.id, vehicleId), isInScope(scope)))
          .get();
        if (!car)
          throw new StoreError('not_found', `Drive request '${requestId}' does not ask for car '${vehicleId}'.`);
        getOpen(requestId);
        db.update(requestCars)
          .set({ state, reason, answeredAtMs: clock() })
          .where(and(eq(requestCars.requestId, requestId), eq(requestCars.vehicleId, vehicleId)))
          .run();
        const action = state === 'declined' ? 'request.decline' : 'request.accept';
        note(actor, action, requestId, [car.title, reason].filter(Boolean).join(': '));
      }),

    noteMet(requestId, vehicleId) {
      db.update(requestCars)
        .set({ state: 'met' })
        .where(and(eq(requestCars.requestId, requestId), eq(requestCars.vehicleId, vehicleId)))
        .run();
    },
  };
}

function checkTargets(
  { db }: WriteContext,
  { platformId, revisionId }: { readonly platformId: string; readonly revisionId: string | null },
  vehicleIds: readonly string[],
): void {
  const platform = db.select({ id: platforms.id }).from(platforms).where(eq(platforms.id, platformId)).get();
  if (!platform) throw new StoreError('not_found', `There is no platform '${platformId}'.`);
  if (revisionId !== null) {
    const revision = db
      .select({ platformId: revisions.platformId })
      .from(revisions)
      .where(eq(revisions.id, revisionId))
      .get();
    if (!revision) throw new StoreError('not_found', `There is no revision '${revisionId}'.`);
    if (revision.platformId !== platformId) throw otherPlatform(`revision '${revisionId}'`, platformId);
  }
  const cars = db
    .select({ id: vehicles.id, platformId: vehicles.platformId })
    .from(vehicles)
    .innerJoin(people, eq(people.id, vehicles.ownerId))
    .where(and(inArray(vehicles.id, [...vehicleIds]), isNull(people.erasedAtMs)))
    .all();
  for (const vehicleId of vehicleIds) {
    const car = cars.find(({ id }) => id === vehicleId);
    if (!car) throw new StoreError('not_found', `There is no car '${vehicleId}'.`);
    if (car.platformId !== platformId) throw otherPlatform(`car '${vehicleId}'`, platformId);
  }
}

function otherPlatform(what: string, platformId: string): StoreError {
  return new StoreError('request_other_platform', `The ${what} is not of platform '${platformId}'.`);
}
