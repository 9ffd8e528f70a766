import { createHash } from 'node:crypto';
import { and, eq, max } from 'drizzle-orm';
import { appendAudit } from '../audit/append-audit.js';
import type { WriteContext } from '../database/context.js';
import { calibrations, contents, revisions } from '../schema/calibrations.js';
import { layouts, platforms } from '../schema/platforms.js';
import { StoreError } from '../store-error.js';
import type { CalibrationWrites } from './calibrations.js';

export function calibrationWrites(context: WriteContext): CalibrationWrites {
  const { db, clock, ids, transaction } = context;
  return {
    create: ({ actor, title, platformId, note }) =>
      transaction(() => {
        const platform = db.select({ id: platforms.id }).from(platforms).where(eq(platforms.id, platformId)).get();
        if (!platform) throw new StoreError('not_found', `There is no platform '${platformId}'.`);
        const id = ids();
        db.insert(calibrations).values({ id, platformId, title, note, createdAtMs: clock() }).run();
        appendAudit(context, { actor, action: 'calibration.create', target: `calibration:${id}`, detail: title });
        return id;
      }),

    createRevision: ({ actor, calibrationId, parentId, message, layoutVersion, canonicalJson }) =>
      transaction(() => {
        const calibration = db.select().from(calibrations).where(eq(calibrations.id, calibrationId)).get();
        if (!calibration) throw new StoreError('not_found', `There is no calibration '${calibrationId}'.`);
        requireLayout(context, calibration.platformId, layoutVersion);
        const hash = createHash('sha256').update(canonicalJson, 'utf8').digest('hex');
        if (parentId !== null) checkParent(context, parentId, { calibrationId, hash });
        db.insert(contents).values({ hash, canonicalJson }).onConflictDoNothing().run();
        const id = ids();
        const number = nextNumber(context, calibrationId);
        db.insert(revisions)
          .values({
            id,
            calibrationId,
            number,
            parentId,
            platformId: calibration.platformId,
            layoutVersion,
            contentHash: hash,
            message,
            authorId: actor.kind === 'person' ? actor.id : null,
            authorName: actor.name,
            createdAtMs: clock(),
          })
          .run();
        appendAudit(context, {
          actor,
          action: 'revision.create',
          target: `revision:${id}`,
          detail: `${calibration.title} ${number}: ${message} (content ${hash})`,
        });
        return id;
      }),
  };
}

function requireLayout({ db }: WriteContext, platformId: string, version: number): void {
  const layout = db
    .select({ version: layouts.version })
    .from(layouts)
    .where(and(eq(layouts.platformId, platformId), eq(layouts.version, version)))
    .get();
  if (!layout) throw new StoreError('not_found', `Platform '${platformId}' has no layout ${version}.`);
}

function checkParent(
  { db }: WriteContext,
  parentId: string,
  child: { readonly calibrationId: string; readonly hash: string },
): void {
  const parent = db.select().from(revisions).where(eq(revisions.id, parentId)).get();
  if (!parent) throw new StoreError('not_found', `There is no revision '${parentId}'.`);
  if (parent.calibrationId !== child.calibrationId) {
    throw new StoreError('parent_mismatch', `Revision '${parentId}' belongs to calibration '${parent.calibrationId}'.`);
  }
  if (parent.contentHash === child.hash) {
    throw new StoreError('content_unchanged', `The content equals that of revision ${parent.number}.`);
  }
}

function nextNumber({ db }: WriteContext, calibrationId: string): number {
  const newest = db
    .select({ number: max(revisions.number) })
    .from(revisions)
    .where(eq(revisions.calibrationId, calibrationId))
    .get();
  return (newest?.number ?? 0) + 1;
}
