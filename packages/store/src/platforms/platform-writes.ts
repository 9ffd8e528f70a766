import { eq, max } from 'drizzle-orm';
import { appendAudit } from '../audit/append-audit.js';
import type { WriteContext } from '../database/context.js';
import { layouts, platforms, policies } from '../schema/platforms.js';
import { StoreError } from '../store-error.js';
import type { PlatformWrites } from './platforms.js';

export function platformWrites(context: WriteContext): PlatformWrites {
  const { db, clock, transaction } = context;

  const isKnown = (platformId: string) =>
    db.select({ id: platforms.id }).from(platforms).where(eq(platforms.id, platformId)).get() !== undefined;

  function requirePlatform(platformId: string): void {
    if (!isKnown(platformId)) throw new StoreError('not_found', `There is no platform '${platformId}'.`);
  }

  return {
    create: ({ actor, platform, policy }) =>
      transaction(() => {
        if (isKnown(platform.id)) throw new StoreError('exists', `A platform '${platform.id}' exists already.`);
        const createdAtMs = clock();
        db.insert(platforms)
          .values({
            id: platform.id,
            title: platform.title,
            gearCount: platform.gears.length,
            document: platform,
            createdAtMs,
          })
          .run();
        db.insert(policies)
          .values({ platformId: platform.id, version: 1, document: { ...policy, version: 1 }, createdAtMs })
          .run();
        appendAudit(context, {
          actor,
          action: 'platform.create',
          target: `platform:${platform.id}`,
          detail: platform.title,
        });
      }),

    addLayout: ({ actor, layout }) =>
      transaction(() => {
        const { platformId, version } = layout;
        requirePlatform(platformId);
        const { changes } = db
          .insert(layouts)
          .values({ platformId, version, document: layout, createdAtMs: clock() })
          .onConflictDoNothing()
          .run();
        if (changes === 0)
          throw new StoreError('exists', `Layout ${version} of platform '${platformId}' exists already.`);
        appendAudit(context, {
          actor,
          action: 'platform.addLayout',
          target: `platform:${platformId}`,
          detail: `layout ${version}: ${layout.title}`,
        });
      }),

    addPolicy: ({ actor, platformId, policy }) =>
      transaction(() => {
        requirePlatform(platformId);
        const newest = db
          .select({ version: max(policies.version) })
          .from(policies)
          .where(eq(policies.platformId, platformId))
          .get();
        const version = (newest?.version ?? 0) + 1;
        const document = { ...policy, version };
        db.insert(policies).values({ platformId, version, document, createdAtMs: clock() }).run();
        appendAudit(context, {
          actor,
          action: 'platform.addPolicy',
          target: `platform:${platformId}`,
          detail: `grading policy ${version}`,
        });
        return document;
      }),
  };
}
