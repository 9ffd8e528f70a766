import { renameSync, rmSync, statSync, unlinkSync } from 'node:fs';
import { basename, join } from 'node:path';
import type { WriteContext } from '../database/context.js';
import { blobReader } from './blob-reader.js';
import type { BlobStore } from './blobs.js';
import { checkBlobs, sweepFiles } from './check-files.js';
import { dropPlainCopies, plainCopyPath } from './plain-copies.js';
import { receiveBlob } from './receive-blob.js';
import { scratchPath } from './scratch.js';

/** Between a file that is in place and its row there are moments (ms). */
const ON_ITS_WAY_MS = 10 * 60_000;

export function blobStore(
  { db, clock, ids }: WriteContext,
  { folder, minFreeBytes }: { readonly folder: string; readonly minFreeBytes: number },
): BlobStore {
  return {
    ...blobReader(db, folder),
    receive: (stream, { maxBytes, expectedBytes = 0 }) =>
      receiveBlob(stream, { folder, temporaryName: `${ids()}.part`, maxBytes, expectedBytes, minFreeBytes }),
    takePlain({ sha256, sizeBytes }) {
      const copy = plainCopyPath(folder, sha256);
      if (statSync(copy, { throwIfNoEntry: false })?.size !== sizeBytes) return undefined;
      const path = scratchPath(folder, ids());
      renameSync(copy, path);
      return { path, encoding: 'stored' };
    },
    dropPlain(sha256) {
      if (sha256 === undefined) dropPlainCopies(folder);
      else rmSync(plainCopyPath(folder, sha256), { force: true });
    },
    scratchFolder: () => scratchPath(folder, ids()),
    removeFiles(paths) {
      for (const path of paths) {
        const file = join(folder, path);
        rmSync(plainCopyPath(folder, basename(path, '.gz')), { force: true });
        const modified = statSync(file, { throwIfNoEntry: false })?.mtimeMs;
        if (modified !== undefined && clock() - modified > ON_ITS_WAY_MS) unlinkSync(file);
      }
    },
    verify: () => checkBlobs(db, folder),
    sweep: async () => ({ removed: await sweepFiles(db, folder, clock()) }),
  };
}
