import { readdirSync, rmSync } from 'node:fs';
import { type FileHandle, open, rename, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { freeBytes } from '../database/folder-warning.js';
import { SPACE_CHECK_BYTES } from './disk-space.js';
import { scratchPath } from './scratch.js';

const MIB = 2 ** 20;
/** A smaller file is unpacked within hundredths of a second. */
const LEAST_BYTES = 8 * MIB;
/** What copies leave free on the disk, beside what must stay free anyhow. */
const SPARE_BYTES = 2048 * MIB;
/** The first that came are analysed first: later ones wait for long enough to be packed until then. */
const MOST_COPIES = 4;
const PREFIX = 'plain-';

/** Where the copy of a blob lies. */
export function plainCopyPath(folder: string, sha256: string): string {
  return scratchPath(folder, `${PREFIX}${sha256}`);
}

/** All that nobody has taken, and those that are still written. */
export function plainCopies(folder: string): string[] {
  return readdirSync(join(folder, 'scratch'))
    .filter((name) => name.startsWith(PREFIX))
    .map((name) => scratchPath(folder, name));
}

/** Copies make room for what has none otherwise. */
export function dropPlainCopies(folder: string): void {
  for (const path of plainCopies(folder)) rmSync(path, { force: true });
}

/** Takes a file a second time. Nothing depends on it: whatever goes wrong with it, it is dropped and nobody is told. */
export interface PlainCopy {
  add(chunk: Uint8Array): Promise<void>;
  /** From now on it may be taken (`BlobStore.takePlain`). */
  keep(sha256: string): Promise<void>;
  drop(): Promise<void>;
}

export interface PlainCopyOptions {
  readonly folder: string;
  readonly temporaryName: string;
  readonly expectedBytes: number;
  readonly minFreeBytes: number;
}

/**
 * A file that is packed for keeping lies in the scratch folder as it came, too, until its log is analysed, which is mostly
 * within moments: unpacking it for that would take a tenth of the time. Undefined where it is too small to matter, its
 * size is not known, others wait already, or the disk has no room to spare; in that case the others make room as well.
 */
export async function beginPlainCopy(options: PlainCopyOptions): Promise<PlainCopy | undefined> {
  const { folder, temporaryName, expectedBytes } = options;
  if (spareBytes(options) < 0) dropPlainCopies(folder);
  if (expectedBytes < LEAST_BYTES || spareBytes(options) < 2 * expectedBytes) return undefined;
  if (plainCopies(folder).length >= MOST_COPIES) return undefined;
  const path = scratchPath(folder, `${PREFIX}${temporaryName}`);
  const file = await open(path, 'wx').catch(() => undefined);
  return file && copyTo(file, path, options);
}

function spareBytes({ folder, minFreeBytes }: PlainCopyOptions): number {
  return freeBytes(folder) - minFreeBytes - SPARE_BYTES;
}

function copyTo(file: FileHandle, path: string, options: PlainCopyOptions): PlainCopy {
  let isOpen = true;
  let roomBytes = options.expectedBytes;
  let uncheckedBytes = 0;
  const drop = async () => {
    if (!isOpen) return;
    isOpen = false;
    await file.close().catch(() => undefined);
    await rm(path, { force: true }).catch(() => undefined);
  };
  /** No more than was announced, and only as long as there is room to spare. */
  const hasRoom = (bytes: number) => {
    roomBytes -= bytes;
    uncheckedBytes += bytes;
    if (uncheckedBytes < SPACE_CHECK_BYTES) return roomBytes >= 0;
    uncheckedBytes = 0;
    return roomBytes >= 0 && spareBytes(options) >= 0;
  };
  return {
    drop,
    async add(chunk) {
      if (!isOpen) return;
      if (hasRoom(chunk.length)) await file.appendFile(chunk).catch(drop);
      else await drop();
    },
    async keep(sha256) {
      if (!isOpen) return;
      try {
        await file.close();
        await rename(path, plainCopyPath(options.folder, sha256));
        isOpen = false;
      } catch {
        await drop();
      }
    },
  };
}
