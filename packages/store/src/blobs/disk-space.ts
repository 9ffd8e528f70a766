import { freeBytes } from '../database/folder-warning.js';
import { StoreError } from '../store-error.js';

/** Bytes taken between two looks at the free space. */
export const SPACE_CHECK_BYTES = 32 * 1024 * 1024;

/** Passes bytes on and throws `storage_full` once less than `minFreeBytes` is free on the disk of `folder`. */
export async function* watchSpace(
  chunks: AsyncIterable<Uint8Array>,
  { folder, minFreeBytes }: { readonly folder: string; readonly minFreeBytes: number },
): AsyncGenerator<Uint8Array> {
  let uncheckedBytes = Number.POSITIVE_INFINITY;
  for await (const chunk of chunks) {
    uncheckedBytes += chunk.length;
    if (uncheckedBytes > SPACE_CHECK_BYTES) {
      const free = freeBytes(folder);
      if (free < minFreeBytes) throw storageFull(`Only ${free} bytes are free, ${minFreeBytes} must stay.`);
      uncheckedBytes = 0;
    }
    yield chunk;
  }
}

/** A full disk as `storage_full`, one that cannot be written as `storage_read_only`; every other error as it is. */
export function sayIfDiskFull(error: unknown): unknown {
  const code = error instanceof Error && 'code' in error ? error.code : undefined;
  if (code === 'ENOSPC' || code === 'EDQUOT') return storageFull('The disk is full.', error);
  if (code === 'EROFS' || code === 'EACCES') {
    return new StoreError('storage_read_only', 'The data folder cannot be written.', { cause: error });
  }
  return error;
}

function storageFull(message: string, cause?: unknown): StoreError {
  return new StoreError('storage_full', message, { cause });
}
