import { and, eq, like, sql } from 'drizzle-orm';
import type { WriteContext } from '../database/context.js';
import { calibrations, revisions } from '../schema/calibrations.js';

/** Fewer digits of a hash are no name for it. */
const HASH_PREFIX = /^[0-9a-f]{8,64}$/i;

/**
 * The revision of a platform that a log names by the first digits of a content hash or as `<calibration> r<number>`;
 * null when there is none, or when the digits fit several contents.
 */
export function statedRevision({ db }: WriteContext, platformId: string, stated: string): string | null {
  const isNamed = HASH_PREFIX.test(stated)
    ? like(revisions.contentHash, `${stated.toLowerCase()}%`)
    : sql`lower(${calibrations.title} || ' r' || ${revisions.number}) = ${stated.toLowerCase()}`;
  const found = db
    .select({ id: revisions.id, contentHash: revisions.contentHash })
    .from(revisions)
    .innerJoin(calibrations, eq(calibrations.id, revisions.calibrationId))
    .where(and(eq(revisions.platformId, platformId), isNamed))
    .orderBy(revisions.id)
    .all();
  const contents = new Set(found.map(({ contentHash }) => contentHash));
  return contents.size === 1 ? (found.at(-1)?.id ?? null) : null;
}
