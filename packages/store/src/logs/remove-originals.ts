import { and, eq, inArray, isNull, lt, sql } from 'drizzle-orm';
import type { Actor } from '../actor.js';
import { appendAudit } from '../audit/append-audit.js';
import { type BlobRef, blobFileName } from '../blobs/blob-files.js';
import type { WriteContext } from '../database/context.js';
import { blobs } from '../schema/logs.js';

/** See `LogWrites.removeOriginals`. Returns the files, below the data folder. Part of a larger transaction. */
export function removeOldOriginals(
  context: WriteContext,
  { actor, beforeMs, limit }: { readonly actor: Actor; readonly beforeMs: number; readonly limit: number },
): string[] {
  const { db } = context;
  const old = db
    .select({ sha256: blobs.sha256, encoding: blobs.encoding })
    .from(blobs)
    .where(
      and(
        isNull(blobs.removedAtMs),
        lt(blobs.createdAtMs, beforeMs),
        // What is not analysed, or came again since, is still needed.
        sql`NOT EXISTS (SELECT 1 FROM logs WHERE logs.sha256 = ${blobs.sha256}
          AND (logs.uploaded_at_ms >= ${beforeMs} OR logs.state NOT IN ('ready', 'refused')))`,
      ),
    )
    .orderBy(blobs.sha256)
    .limit(limit)
    .all();
  if (old.length === 0) return [];
  setRemoved(context, old);
  appendAudit(context, {
    actor,
    action: 'log.removeOriginals',
    target: 'logs',
    detail: `${old.length} originals that came before ${new Date(beforeMs).toISOString().slice(0, 10)}`,
  });
  return old.map(pathOf);
}

/**
 * Marks originals as removed, but for those that a log of somebody else still needs, and returns their files. Part of a
 * larger transaction.
 */
export function markRemoved(context: WriteContext, sha256s: readonly string[], ownerId: string): string[] {
  const gone = sha256s.flatMap((sha256) =>
    context.db
      .select({ sha256: blobs.sha256, encoding: blobs.encoding })
      .from(blobs)
      .where(
        and(
          eq(blobs.sha256, sha256),
          isNull(blobs.removedAtMs),
          sql`NOT EXISTS (SELECT 1 FROM logs INNER JOIN vehicles ON vehicles.id = logs.vehicle_id
            INNER JOIN people ON people.id = vehicles.owner_id
            WHERE logs.sha256 = ${sha256} AND people.id <> ${ownerId} AND people.erased_at_ms IS NULL)`,
        ),
      )
      .all(),
  );
  setRemoved(context, gone);
  return gone.map(pathOf);
}

function setRemoved({ db, clock }: WriteContext, gone: readonly BlobRef[]): void {
  const hashes = gone.map(({ sha256 }) => sha256);
  db.update(blobs).set({ removedAtMs: clock() }).where(inArray(blobs.sha256, hashes)).run();
}

function pathOf(blob: BlobRef): string {
  return `blobs/${blob.sha256.slice(0, 2)}/${blobFileName(blob)}`;
}
