import { readdirSync, statSync } from 'node:fs';
import { type FileHandle, open, rename, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { freeBytes } from '../database/folder-warning.js';
import { scratchPath } from './scratch.js';

const MIB = 2 ** 20;
/** A smaller file is unpacked within hundredths of a second. */
const LEAST_BYTES = 8 * MIB;
/** What a copy leaves free on the disk, beside what must stay free anyhow. */
const SPARE_BYTES = 2048 * MIB;
/** More of them belong to logs that wait for long, and are better packed. */
const MOST_COPIES = 4;
const PREFIX = 'plain-';

/** Where the copy of a blob lies. */
export function plainCopyPath(folder: string, sha256: string): string {
  return scratchPath(folder, `${PREFIX}${sha256}`);
}

/** Takes a file a second time. Nothing depends on it: whatever goes wrong with it, it is dropped and nobody is told. */
export interface PlainCopy {
  add(chunk: Uint8Array): Promise<void>;
  /** From now on it may be taken (`BlobStore.takePlain`). */
  keep(sha256: string): Promise<void>;
  drop(): Promise<void>;
}

/**
 * A file that is packed for keeping lies in the scratch folder as it came, too, until its log is analysed, which is mostly
 * within moments: unpacking it for that would take a tenth of the time. Undefined where it is too small to matter, its
 * size is not known, or the disk has no room to spare.
 */
export async function beginPlainCopy({
  folder,
  temporaryName,
  expectedBytes,
  minFreeBytes,
}: {
  readonly folder: string;
  readonly temporaryName: string;
  readonly expectedBytes: number;
  readonly minFreeBytes: number;
}): Promise<PlainCopy | undefined> {
  if (expectedBytes < LEAST_BYTES || freeBytes(folder) - 2 * expectedBytes < minFreeBytes + SPARE_BYTES)
    return undefined;
  const path = scratchPath(folder, temporaryName);
  const file = await open(path, 'wx').catch(() => undefined);
  return file && copyTo(file, { folder, path, expectedBytes });
}

function copyTo(
  file: FileHandle,
  { folder, path, expectedBytes }: { readonly folder: string; readonly path: string; readonly expectedBytes: number },
): PlainCopy {
  let isOpen = true;
  let roomBytes = expectedBytes;
  const drop = async () => {
    if (!isOpen) return;
    isOpen = false;
    await file.close().catch(() => undefined);
    await rm(path, { force: true }).catch(() => undefined);
  };
  return {
    drop,
    async add(chunk) {
      if (!isOpen) return;
      roomBytes -= chunk.length;
      // Room was looked for as much as was announced.
      if (roomBytes < 0) await drop();
      else await file.appendFile(chunk).catch(drop);
    },
    async keep(sha256) {
      if (!isOpen) return;
      try {
        await file.close();
        await rename(path, plainCopyPath(folder, sha256));
        isOpen = false;
        await dropOldest(folder);
      } catch {
        await drop();
      }
    },
  };
}

/** All that nobody has taken. */
export function plainCopies(folder: string): string[] {
  return readdirSync(join(folder, 'scratch'))
    .filter((name) => name.startsWith(PREFIX))
    .map((name) => scratchPath(folder, name));
}

async function dropOldest(folder: string): Promise<void> {
  const since = (path: string) => statSync(path, { throwIfNoEntry: false })?.mtimeMs ?? 0;
  const oldest = plainCopies(folder).sort((a, b) => since(b) - since(a));
  for (const path of oldest.slice(MOST_COPIES)) await rm(path, { force: true });
}
