import { closeSync, fstatSync, openSync, readSync } from 'node:fs';
import type { RandomAccess } from '@syncline/drivelog';

/** A file on disk that is read anywhere, at once: this thread has nothing else to do. */
export function openFileAccess(path: string): RandomAccess & { close(): void } {
  const file = openSync(path, 'r');
  return {
    sizeBytes: fstatSync(file).size,
    read(offset, length) {
      const bytes = new Uint8Array(length);
      let count = 0;
      while (count < length) {
        const read = readSync(file, bytes, count, length - count, offset + count);
        if (read === 0) break;
        count += read;
      }
      return bytes.subarray(0, count);
    },
    close: () => closeSync(file),
  };
}

/** Read at once. */
const PIECE_BYTES = 1 << 18;

/** A file from its beginning to its end. A stream would have another thread read, and wait for it at each piece. */
export async function* readPieces(path: string): AsyncGenerator<Uint8Array> {
  const file = openFileAccess(path);
  try {
    for (let offset = 0; offset < file.sizeBytes; offset += PIECE_BYTES) yield file.read(offset, PIECE_BYTES);
  } finally {
    file.close();
  }
}
