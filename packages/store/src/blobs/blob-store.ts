import type { WriteContext } from '../database/context.js';
import { blobReader } from './blob-reader.js';
import type { BlobStore } from './blobs.js';
import { checkBlobs, sweepFiles } from './check-files.js';
import { receiveBlob } from './receive-blob.js';
import { scratchPath } from './scratch.js';

export function blobStore(
  { db, clock, ids }: WriteContext,
  { folder, minFreeBytes }: { readonly folder: string; readonly minFreeBytes: number },
): BlobStore {
  return {
    ...blobReader(db, folder),
    receive: (stream, { maxBytes }) =>
      receiveBlob(stream, { folder, temporaryName: `${ids()}.part`, maxBytes, minFreeBytes }),
    scratchFolder: () => scratchPath(folder, ids()),
    verify: () => checkBlobs(db, folder),
    sweep: async () => ({ removed: await sweepFiles(db, folder, clock()) }),
  };
}
