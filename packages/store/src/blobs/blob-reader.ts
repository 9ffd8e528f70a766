import { eq } from 'drizzle-orm';
import type { Db } from '../database/context.js';
import { blobs } from '../schema/logs.js';
import { StoreError } from '../store-error.js';
import { type BlobRef, blobPath, hasBlobFile } from './blob-files.js';
import type { BlobReader } from './blobs.js';
import { type OriginalFile, readOriginal } from './original-file.js';

export function blobReader(db: Db, folder: string): BlobReader {
  function locate(sha256: string): OriginalFile {
    const row = db.select().from(blobs).where(eq(blobs.sha256, sha256)).get();
    if (!row) throw new StoreError('not_found', `There is no blob ${sha256}.`);
    if (row.removedAtMs !== null) {
      const day = new Date(row.removedAtMs).toISOString().slice(0, 10);
      throw new StoreError('blob_removed', `The original file was removed on ${day}; what was found in it stays.`);
    }
    if (!hasBlobFile(folder, row)) throw new StoreError('blob_missing', `The file of blob ${sha256} is missing.`);
    return fileOf(folder, row);
  }

  return { locate, open: (sha256) => readOriginal(locate(sha256)) };
}

export function fileOf(folder: string, blob: BlobRef): OriginalFile {
  return { path: blobPath(folder, blob), encoding: blob.encoding };
}
