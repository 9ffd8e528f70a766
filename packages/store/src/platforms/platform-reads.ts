import { and, asc, count, eq, gt, sql } from 'drizzle-orm';
import type { Db } from '../database/context.js';
import { pageKey, pageOf } from '../page.js';
import { layouts, platforms, policies } from '../schema/platforms.js';
import type { PlatformReads } from './platforms.js';

export function platformReads(db: Db): PlatformReads {
  const layoutVersions = (platformId: string) =>
    db
      .select({ version: layouts.version })
      .from(layouts)
      .where(eq(layouts.platformId, platformId))
      .orderBy(asc(layouts.version))
      .all()
      .map((row) => row.version);

  const findPolicy: PlatformReads['findPolicy'] = (platformId, version) =>
    db
      .select({ document: policies.document })
      .from(policies)
      .innerJoin(platforms, eq(platforms.id, policies.platformId))
      .where(and(eq(policies.platformId, platformId), eq(policies.version, version ?? platforms.policyInForce)))
      .get()?.document;

  return {
    list({ cursor, limit }) {
      const key = pageKey(cursor);
      const rows = db
        .select({ id: platforms.id, title: platforms.title, gearCount: platforms.gearCount })
        .from(platforms)
        .where(key && gt(platforms.id, String(key[1])))
        .orderBy(asc(platforms.id))
        .limit(limit + 1)
        .all();
      const totalCount = db.select({ value: count() }).from(platforms).get()?.value ?? 0;
      return pageOf(rows, {
        limit,
        totalCount,
        keyOf: (row) => [null, row.id],
        toItem: (row) => ({ ...row, layoutVersions: layoutVersions(row.id) }),
      });
    },

    find(platformId) {
      const row = db.select().from(platforms).where(eq(platforms.id, platformId)).get();
      const policy = findPolicy(platformId);
      if (!row || !policy) return undefined;
      return {
        platform: row.document,
        layoutVersions: layoutVersions(platformId),
        layouts: layoutsOf(db, platformId),
        policy,
        policies: policiesOf(db, platformId),
        createdAtMs: row.createdAtMs,
      };
    },

    findLayout: (platformId, version) =>
      db
        .select({ document: layouts.document })
        .from(layouts)
        .where(and(eq(layouts.platformId, platformId), eq(layouts.version, version)))
        .get()?.document,

    findPolicy,
  };
}

function layoutsOf(db: Db, platformId: string) {
  return db
    .select({
      version: layouts.version,
      title: sql<string>`json_extract(${layouts.document}, '$.title')`,
      createdAtMs: layouts.createdAtMs,
    })
    .from(layouts)
    .where(eq(layouts.platformId, platformId))
    .orderBy(asc(layouts.version))
    .all();
}

function policiesOf(db: Db, platformId: string) {
  return db
    .select({ version: policies.version, createdAtMs: policies.createdAtMs })
    .from(policies)
    .where(eq(policies.platformId, platformId))
    .orderBy(asc(policies.version))
    .all();
}
