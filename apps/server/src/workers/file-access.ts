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
