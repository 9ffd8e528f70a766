import { existsSync, readFileSync } from 'node:fs';
import { gunzipSync } from 'node:zlib';

/** Check files and openly licensed recordings beside the checkout. */
const shared = new URL('../../../../shared/', import.meta.url);

/** Bytes of a file of the shared folder, unpacked when its name ends in `.gz`. */
export function sharedFile(path: string): Uint8Array {
  const file = new URL(path, shared);
  if (!existsSync(file)) {
    throw new Error(`check data not found: ${file.pathname} (the folder ../shared beside the checkout is needed)`);
  }
  const bytes = readFileSync(file);
  return new Uint8Array(path.endsWith('.gz') ? gunzipSync(bytes) : bytes);
}

export function sharedText(path: string): string {
  return new TextDecoder().decode(sharedFile(path));
}
