import type { Platform } from '@syncline/calibration';
import { and, asc, eq, inArray } from 'drizzle-orm';
import { appendAudit } from '../audit/append-audit.js';
import type { WriteContext } from '../database/context.js';
import { enqueueJob } from '../jobs/enqueue-job.js';
import { busCaptures } from '../schema/captures.js';
import { logs } from '../schema/logs.js';
import { busSignalLists, dialectProfiles, platforms } from '../schema/platforms.js';
import { vehicles } from '../schema/vehicles.js';
import { StoreError } from '../store-error.js';
import { dialectReads } from './dialect-reads.js';
import type { DialectWrites } from './dialects.js';

export function dialectWrites(context: WriteContext): DialectWrites {
  const { db, clock, transaction } = context;
  const reads = dialectReads(db);

  function getPlatform(platformId: string): Platform {
    const row = db.select({ document: platforms.document }).from(platforms).where(eq(platforms.id, platformId)).get();
    if (!row) throw new StoreError('not_found', `There is no platform '${platformId}'.`);
    return row.document;
  }

  function requireDialect(platformId: string, dialectId: string): void {
    if (getPlatform(platformId).dialects.some(({ id }) => id === dialectId)) return;
    throw new StoreError('not_found', `Platform '${platformId}' has no dialect '${dialectId}'.`);
  }

  return {
    add: ({ actor, platformId, dialect }) =>
      transaction(() => {
        const platform = getPlatform(platformId);
        if (platform.dialects.some(({ id }) => id === dialect.id)) {
          throw new StoreError('exists', `Platform '${platformId}' has a dialect '${dialect.id}' already.`);
        }
        const document = { ...platform, dialects: [...platform.dialects, dialect] };
        db.update(platforms).set({ document }).where(eq(platforms.id, platformId)).run();
        appendAudit(context, {
          actor,
          action: 'dialect.add',
          target: `platform:${platformId}`,
          detail: `${dialect.id}: ${dialect.title}`,
        });
      }),

    addSignalList: ({ actor, platformId, dialectId, signals, jobFor }) =>
      transaction(() => {
        requireDialect(platformId, dialectId);
        const version = (reads.findSignalList(platformId, dialectId)?.version ?? 0) + 1;
        db.insert(busSignalLists)
          .values({ platformId, dialectId, version, document: signals, createdAtMs: clock(), byName: actor.name })
          .run();
        const requeued = unreadCaptures(context, platformId);
        for (const { id, ownerId } of requeued) enqueueJob(context, jobFor(id, ownerId));
        appendAudit(context, {
          actor,
          action: 'dialect.setSignals',
          target: `platform:${platformId}`,
          detail: `${dialectId}, list ${version}: ${signals.length} signals; ${requeued.length} logs queued again`,
        });
        return requeued.map(({ id }) => id);
      }),

    addProfile: ({ actor, platformId, profile, captureIds, jobFor }) =>
      transaction(() => {
        const dialectId = profile.dialect;
        requireDialect(platformId, dialectId);
        const version = (reads.findProfile(platformId, dialectId)?.version ?? 0) + 1;
        db.insert(dialectProfiles)
          .values({
            platformId,
            dialectId,
            version,
            document: profile,
            captureIds,
            createdAtMs: clock(),
            byName: actor.name,
          })
          .run();
        enqueueJob(context, jobFor(version));
        const origin = captureIds.length === 0 ? 'entered' : `learned from ${captureIds.join(', ')}`;
        appendAudit(context, {
          actor,
          action: 'dialect.setProfile',
          target: `platform:${platformId}`,
          detail: `${dialectId}, profile ${version}: ${profile.identifiers.length} identifiers, ${origin}`,
        });
      }),
  };
}

/** Captures that could not be read so far: another list may help. */
function unreadCaptures({ db }: WriteContext, platformId: string) {
  return db
    .select({ id: logs.id, ownerId: vehicles.ownerId })
    .from(busCaptures)
    .innerJoin(logs, eq(logs.id, busCaptures.logId))
    .innerJoin(vehicles, eq(vehicles.id, busCaptures.vehicleId))
    .where(and(eq(vehicles.platformId, platformId), inArray(logs.state, ['awaitingMap', 'failed', 'refused'])))
    .orderBy(asc(logs.id))
    .all();
}
