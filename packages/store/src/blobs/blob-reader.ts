import { createReadStream } from 'node:fs';
import { pipeline, type Readable } from 'node:stream';
import { createGunzip } from 'node:zlib';
import { eq } from 'drizzle-orm';
import type { Db } from '../database/context.js';
import { blobs } from '../schema/logs.js';
import { StoreError } from '../store-error.js';
import { type BlobRef, blobPath, hasBlobFile } from './blob-files.js';
import type { BlobReader } from './blobs.js';

/** Read and unpacked at once: with the usual 16 KiB half of the time goes into handing the pieces on. */
const PIECE_BYTES = 1 << 18;

export function blobReader(db: Db, folder: string): BlobReader {
  function getBlob(sha256: string): BlobRef {
    const row = db.select().from(blobs).where(eq(blobs.sha256, sha256)).get();
    if (!row) throw new StoreError('not_found', `There is no blob ${sha256}.`);
    if (row.removedAtMs !== null) {
      const day = new Date(row.removedAtMs).toISOString().slice(0, 10);
      throw new StoreError('blob_removed', `The original file was removed on ${day}; what was found in it stays.`);
    }
    if (!hasBlobFile(folder, row)) throw new StoreError('blob_missing', `The file of blob ${sha256} is missing.`);
    return row;
  }

  return {
    open: (sha256) => readOriginal(folder, getBlob(sha256)),
    findPlainFile(sha256) {
      const blob = getBlob(sha256);
      return blob.encoding === 'stored' ? blobPath(folder, blob) : undefined;
    },
  };
}

/** The original bytes. Errors of the file come out of the stream that is returned. */
export function readOriginal(folder: string, blob: BlobRef): Readable {
  const file = createReadStream(blobPath(folder, blob), { highWaterMark: PIECE_BYTES });
  if (blob.encoding === 'stored') return file;
  // The callback only takes the error, which the returned stream tells as well.
  return pipeline(file, createGunzip({ chunkSize: PIECE_BYTES }), () => {});
}
