import { and, asc, desc, eq, max, sql } from 'drizzle-orm';
import type { Db } from '../database/context.js';
import { busSignalLists, dialectProfiles } from '../schema/platforms.js';
import type { DialectReads } from './dialects.js';

export function dialectReads(db: Db): DialectReads {
  return {
    findSignalList: (platformId, dialectId) =>
      db
        .select({
          version: busSignalLists.version,
          signals: busSignalLists.document,
          createdAtMs: busSignalLists.createdAtMs,
          byName: busSignalLists.byName,
        })
        .from(busSignalLists)
        .where(and(eq(busSignalLists.platformId, platformId), eq(busSignalLists.dialectId, dialectId)))
        .orderBy(desc(busSignalLists.version))
        .limit(1)
        .get(),

    signalListVersions(platformId) {
      const rows = db
        .select({ dialectId: busSignalLists.dialectId, version: max(busSignalLists.version) })
        .from(busSignalLists)
        .where(eq(busSignalLists.platformId, platformId))
        .groupBy(busSignalLists.dialectId)
        .all();
      return Object.fromEntries(rows.map(({ dialectId, version }) => [dialectId, version ?? 0]));
    },

    findProfile: (platformId, dialectId) =>
      db
        .select(profileColumns)
        .from(dialectProfiles)
        .where(and(eq(dialectProfiles.platformId, platformId), eq(dialectProfiles.dialectId, dialectId)))
        .orderBy(desc(dialectProfiles.version))
        .limit(1)
        .get(),

    listProfiles: (platformId) =>
      db
        .select(profileColumns)
        .from(dialectProfiles)
        .where(
          and(
            eq(dialectProfiles.platformId, platformId),
            sql`${dialectProfiles.version} = (
              SELECT max(newer.version) FROM dialect_profiles AS newer
              WHERE newer.platform_id = ${dialectProfiles.platformId}
                AND newer.dialect_id = ${dialectProfiles.dialectId})`,
          ),
        )
        .orderBy(asc(dialectProfiles.dialectId))
        .all(),
  };
}

const profileColumns = {
  version: dialectProfiles.version,
  profile: dialectProfiles.document,
  captureIds: dialectProfiles.captureIds,
  createdAtMs: dialectProfiles.createdAtMs,
  byName: dialectProfiles.byName,
};
