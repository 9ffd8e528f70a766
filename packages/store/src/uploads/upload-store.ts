import { constants, createReadStream, rmSync, statSync } from 'node:fs';
import { type FileHandle, open } from 'node:fs/promises';
import { join } from 'node:path';
import { eq, lte } from 'drizzle-orm';
import { sayIfDiskFull, watchSpace } from '../blobs/disk-space.js';
import type { WriteContext } from '../database/context.js';
import { problemColumns } from '../logs/set-log-state.js';
import { packedContents, uploads } from '../schema/uploads.js';
import { uploadReads } from './upload-reads.js';
import type { UploadOutcome, UploadStore } from './uploads.js';

export function uploadStore(
  { db, clock, ids }: WriteContext,
  { folder, minFreeBytes }: { readonly folder: string; readonly minFreeBytes: number },
): UploadStore {
  const read = uploadReads(db);
  // Ids are made by us, never by the sender: no name that was sent is ever part of a path.
  const path = (uploadId: string) => join(folder, 'uploads', uploadId);
  const removeBytes = (uploadId: string) => rmSync(path(uploadId), { force: true });

  // The row goes first: bytes without a row are swept, a row without bytes would be offered to go on with.
  function remove(uploadId: string): void {
    db.delete(uploads).where(eq(uploads.id, uploadId)).run();
    removeBytes(uploadId);
  }

  return {
    begin(input, outcome = { state: 'receiving' }) {
      const id = ids();
      db.insert(uploads)
        .values({ id, ...input, ...outcomeColumns(outcome), createdAtMs: clock() })
        .run();
      const upload = read.find(id);
      if (!upload) throw new Error(`upload ${id} has no row after it was begun`);
      return upload;
    },

    prolong(uploadId, expiresAtMs) {
      db.update(uploads).set({ expiresAtMs }).where(eq(uploads.id, uploadId)).run();
    },

    end(uploadId, outcome) {
      db.update(uploads).set(outcomeColumns(outcome)).where(eq(uploads.id, uploadId)).run();
    },

    noteContent(sha256, contentSha256) {
      db.insert(packedContents).values({ sha256, contentSha256 }).onConflictDoNothing().run();
    },

    receivedBytes: (uploadId) => statSync(path(uploadId), { throwIfNoEntry: false })?.size ?? 0,

    async append(uploadId, offset, chunks) {
      const file = await open(path(uploadId), constants.O_WRONLY | constants.O_CREAT).catch((error: unknown) => {
        throw sayIfDiskFull(error);
      });
      try {
        return await writeAt(file, offset, watchSpace(chunks, { folder, minFreeBytes }));
      } catch (error) {
        throw sayIfDiskFull(error);
      } finally {
        await file.close();
      }
    },

    openBytes: (uploadId) => createReadStream(path(uploadId)),
    removeBytes,
    remove,

    sweep() {
      const stale = db.select({ id: uploads.id }).from(uploads).where(lte(uploads.expiresAtMs, clock())).all();
      for (const { id } of stale) remove(id);
      return stale.length;
    },
  };
}

/** Also what came before an error is synced: its sender will be told to go on after it. */
async function writeAt(file: FileHandle, offset: number, chunks: AsyncIterable<Uint8Array>): Promise<number> {
  let end = offset;
  try {
    for await (const chunk of chunks) {
      for (let done = 0; done < chunk.length; ) {
        const { bytesWritten } = await file.write(chunk, done, chunk.length - done, end);
        done += bytesWritten;
        end += bytesWritten;
      }
    }
  } finally {
    await file.sync();
  }
  return end;
}

function outcomeColumns(outcome: UploadOutcome) {
  return {
    state: outcome.state,
    logId: outcome.state === 'done' ? outcome.logId : null,
    isDuplicate: outcome.state === 'done' ? outcome.isDuplicate : null,
    ...problemColumns(outcome.state === 'refused' ? outcome.problem : null),
  };
}
