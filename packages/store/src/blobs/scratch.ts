import { mkdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';

/** Where files may be unpacked while they are read; see `BlobStore.scratchFolder`. */
export function scratchPath(folder: string, name: string): string {
  return join(folder, 'scratch', name);
}

/** Empties the folder of files that a process which died has left. Only for the process that holds the data folder. */
export function clearScratch(folder: string): void {
  rmSync(join(folder, 'scratch'), { recursive: true, force: true });
  mkdirSync(join(folder, 'scratch'), { recursive: true });
}
