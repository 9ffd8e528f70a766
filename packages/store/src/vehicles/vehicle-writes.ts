import { and, asc, eq, gt, inArray, isNull } from 'drizzle-orm';
import { appendAudit } from '../audit/append-audit.js';
import { holdsAt } from '../calibrations/revision-columns.js';
import type { WriteContext } from '../database/context.js';
import { enqueueJob } from '../jobs/enqueue-job.js';
import { calibrations, revisions } from '../schema/calibrations.js';
import { logs } from '../schema/logs.js';
import { people } from '../schema/people.js';
import { platforms } from '../schema/platforms.js';
import { dialectDecisions, dialectObservations, installations, signalMaps, vehicles } from '../schema/vehicles.js';
import { StoreError } from '../store-error.js';
import { dialectPair, lapseDecision } from './lapse-decision.js';
import { changeInstallations, entersAnalysis, requeueLogs } from './logs-follow.js';
import type { VehicleWrites } from './vehicles.js';

export function vehicleWrites(context: WriteContext): VehicleWrites {
  const { db, clock, ids, transaction } = context;
  return {
    create: ({ actor, ownerId, profile }) =>
      transaction(() => {
        const owner = db.select({ name: people.name }).from(people).where(eq(people.id, ownerId)).get();
        if (!owner) throw new StoreError('not_found', `There is no person '${ownerId}'.`);
        const platform = db.select().from(platforms).where(eq(platforms.id, profile.platformId)).get();
        if (!platform) throw new StoreError('not_found', `There is no platform '${profile.platformId}'.`);
        const id = ids();
        db.insert(vehicles)
          .values({ ...profile, id, ownerId, createdAtMs: clock() })
          .run();
        appendAudit(context, {
          actor,
          action: 'vehicle.create',
          target: `vehicle:${id}`,
          detail: `${profile.title}, ${platform.title}, of ${owner.name}`,
        });
        return id;
      }),

    update: ({ actor, vehicleId, profile, jobFor }) =>
      transaction(() => {
        const before = getVehicle(context, vehicleId);
        const changes = (Object.keys(profile) as (keyof typeof profile)[]).filter(
          (field) => profile[field] !== undefined && profile[field] !== before[field],
        );
        if (changes.length > 0) db.update(vehicles).set(profile).where(eq(vehicles.id, vehicleId)).run();
        lapseDecision(context, vehicleId);
        const requeued = entersAnalysis(changes) ? requeueLogs(context, vehicleId, jobFor) : [];
        appendAudit(context, {
          actor,
          action: 'vehicle.update',
          target: `vehicle:${vehicleId}`,
          detail: [
            ...changes.map((field) => `${field}: ${before[field]} → ${profile[field]}`),
            ...(requeued.length > 0 ? [`${requeued.length} logs queued again`] : []),
          ].join('; '),
          before: Object.fromEntries(changes.map((field) => [field, before[field]])),
          after: Object.fromEntries(changes.map((field) => [field, profile[field]])),
        });
        return requeued;
      }),

    install: ({ actor, vehicleId, revisionId, sinceAtMs }) =>
      transaction(() => {
        const vehicle = getVehicle(context, vehicleId);
        const label = requireRevisionFor(context, vehicle.platformId, revisionId);
        const before = installedAt(context, vehicleId, sinceAtMs);
        const movedCount = changeInstallations(context, { vehicleId, fromMs: sinceAtMs }, () =>
          insertInstallation(context, { vehicleId, revisionId, sinceAtMs }),
        );
        appendAudit(context, {
          actor,
          action: 'vehicle.install',
          target: `vehicle:${vehicleId}`,
          detail: `${label} (${revisionId}) since ${new Date(sinceAtMs).toISOString()}; ${movedCount} logs moved to it`,
          before: { revisionId: before },
          after: { revisionId },
        });
      }),

    setTags: ({ actor, vehicleId, tags }) =>
      transaction(() => {
        const before = getVehicle(context, vehicleId).tags;
        const after = [...new Set(tags)].sort((a, b) => a.localeCompare(b, 'en'));
        db.update(vehicles).set({ tags: after }).where(eq(vehicles.id, vehicleId)).run();
        appendAudit(context, {
          actor,
          action: 'vehicle.setTags',
          target: `vehicle:${vehicleId}`,
          detail: `${before.join(', ') || 'none'} → ${after.join(', ') || 'none'}`,
        });
      }),

    observe: ({ actor, vehicleId, dialect, source, note }) =>
      transaction(() => {
        const { declaredDialect } = getVehicle(context, vehicleId);
        const observedAtMs = clock();
        db.insert(dialectObservations)
          .values({ id: ids(), vehicleId, dialect, source, note, observedAtMs, byName: actor.name, declaredDialect })
          .run();
        lapseDecision(context, vehicleId);
        appendAudit(context, {
          actor,
          action: 'vehicle.observe',
          target: `vehicle:${vehicleId}`,
          detail: `${dialect ?? 'no known dialect'} by ${source}: ${note}`,
        });
      }),

    decideDialect: ({ actor, vehicleId, decision, reason }) =>
      transaction(() => {
        getVehicle(context, vehicleId);
        const pair = dialectPair(context, vehicleId);
        const now = clock();
        db.update(dialectDecisions)
          .set({ lapsedAtMs: now })
          .where(and(eq(dialectDecisions.vehicleId, vehicleId), isNull(dialectDecisions.lapsedAtMs)))
          .run();
        db.insert(dialectDecisions)
          .values({ id: ids(), vehicleId, decision, reason, ...pair, byName: actor.name, decidedAtMs: now })
          .run();
        appendAudit(context, {
          actor,
          action: 'vehicle.decideDialect',
          target: `vehicle:${vehicleId}`,
          detail: `${decision}: declared ${pair.declaredDialect ?? 'nothing'}, observed ${pair.observedDialect ?? 'nothing'}; ${reason}`,
        });
      }),

    setSignalMap: ({ actor, vehicleId, format, map, jobFor }) =>
      transaction(() => {
        getVehicle(context, vehicleId);
        const before = db
          .select({ map: signalMaps.document })
          .from(signalMaps)
          .where(and(eq(signalMaps.vehicleId, vehicleId), eq(signalMaps.format, format)))
          .get();
        const row = { document: map, updatedAtMs: clock() };
        db.insert(signalMaps)
          .values({ vehicleId, format, ...row })
          .onConflictDoUpdate({ target: [signalMaps.vehicleId, signalMaps.format], set: row })
          .run();
        const requeued = db
          .select({ id: logs.id })
          .from(logs)
          .where(and(eq(logs.vehicleId, vehicleId), inArray(logs.state, ['awaitingMap', 'failed', 'refused'])))
          .orderBy(asc(logs.id))
          .all();
        for (const { id } of requeued) enqueueJob(context, jobFor(id));
        appendAudit(context, {
          actor,
          action: 'vehicle.setSignalMap',
          target: `vehicle:${vehicleId}`,
          detail: `${format}: ${map.signals.length} signals; ${requeued.length} logs queued again; ${JSON.stringify(map)}`,
          before: { map: before?.map ?? null },
          after: { map },
        });
        return requeued.map(({ id }) => id);
      }),
  };
}

export function getVehicle({ db }: WriteContext, vehicleId: string) {
  const row = db.select().from(vehicles).where(eq(vehicles.id, vehicleId)).get();
  if (!row) throw new StoreError('not_found', `There is no vehicle '${vehicleId}'.`);
  return row;
}

/** What a car ran at an instant; null for nothing. */
function installedAt({ db }: WriteContext, vehicleId: string, atMs: number): string | null {
  const holds = and(eq(installations.vehicleId, vehicleId), holdsAt(atMs));
  return db.select({ id: installations.revisionId }).from(installations).where(holds).get()?.id ?? null;
}

/** The name of a revision that a car of this platform may run. */
export function requireRevisionFor({ db }: WriteContext, platformId: string, revisionId: string): string {
  const revision = db
    .select({ platformId: revisions.platformId, title: calibrations.title, number: revisions.number })
    .from(revisions)
    .innerJoin(calibrations, eq(calibrations.id, revisions.calibrationId))
    .where(eq(revisions.id, revisionId))
    .get();
  if (!revision) throw new StoreError('not_found', `There is no revision '${revisionId}'.`);
  if (revision.platformId !== platformId) {
    throw new StoreError(
      'platform_mismatch',
      `Revision '${revisionId}' is for platform '${revision.platformId}', the vehicle has '${platformId}'.`,
    );
  }
  return `${revision.title} ${revision.number}`;
}

/** Spans of one car never overlap: the one that holds ends here, and the new one ends where a later one begins. */
function insertInstallation(
  { db, ids }: WriteContext,
  { vehicleId, revisionId, sinceAtMs }: { vehicleId: string; revisionId: string; sinceAtMs: number },
): void {
  const ofVehicle = eq(installations.vehicleId, vehicleId);
  const later = db
    .select({ sinceAtMs: installations.sinceAtMs })
    .from(installations)
    .where(and(ofVehicle, gt(installations.sinceAtMs, sinceAtMs)))
    .orderBy(asc(installations.sinceAtMs))
    .limit(1)
    .get();
  db.update(installations)
    .set({ untilAtMs: sinceAtMs })
    .where(and(ofVehicle, holdsAt(sinceAtMs)))
    .run();
  db.insert(installations)
    .values({ id: ids(), vehicleId, revisionId, sinceAtMs, untilAtMs: later?.sinceAtMs ?? null })
    .run();
}
