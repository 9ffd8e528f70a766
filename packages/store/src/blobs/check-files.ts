import { createHash } from 'node:crypto';
import { type Dirent, existsSync, readdirSync, statSync, unlinkSync } from 'node:fs';
import { basename, join, relative } from 'node:path';
import { setImmediate as nextTurn } from 'node:timers/promises';
import { and, eq, isNull } from 'drizzle-orm';
import type { Db } from '../database/context.js';
import { candidateResults } from '../schema/analysis-runs.js';
import { blobs, logArtefacts } from '../schema/logs.js';
import { uploads } from '../schema/uploads.js';
import { type BlobRef, blobFileName, hasBlobFile } from './blob-files.js';
import { fileOf } from './blob-reader.js';
import type { BlobCheck } from './blobs.js';
import { readOriginal } from './original-file.js';
import { plainCopies } from './plain-copies.js';

/** Files younger than this may be on their way to a row (ms). */
const SWEEP_AGE_MS = 24 * 60 * 60 * 1000;

/** Reads every blob again and compares it with its row. */
export async function checkBlobs(db: Db, folder: string): Promise<BlobCheck> {
  const missing: string[] = [];
  const altered: string[] = [];
  for (const row of db.select().from(blobs).where(isNull(blobs.removedAtMs)).orderBy(blobs.sha256).all()) {
    if (!hasBlobFile(folder, row)) missing.push(row.sha256);
    else if (!(await isUnaltered(folder, row))) altered.push(row.sha256);
  }
  const orphaned = filesUnder(join(folder, 'blobs'))
    .filter((path) => !isBlobKnown(db, path))
    .map((path) => relative(folder, path));
  return { missing, altered, orphaned };
}

/** Removes old files that nothing refers to. A file is looked up and removed without a pause, so no row can come between. */
export async function sweepFiles(db: Db, folder: string, now: number): Promise<string[]> {
  const removed: string[] = [];
  const candidates = [
    ...filesUnder(join(folder, 'incoming')).map((path) => ({ path, isKnown: () => false })),
    ...plainCopies(folder).map((path) => ({ path, isKnown: () => false })),
    ...filesUnder(join(folder, 'blobs')).map((path) => ({ path, isKnown: () => isBlobKnown(db, path) })),
    ...filesUnder(join(folder, 'signals')).map((path) => ({ path, isKnown: () => isSignalFileKnown(db, path) })),
    ...filesUnder(join(folder, 'uploads')).map((path) => ({ path, isKnown: () => isUploadKnown(db, path) })),
  ];
  for (const { path, isKnown } of candidates) {
    const modified = statSync(path, { throwIfNoEntry: false })?.mtimeMs;
    if (modified !== undefined && now - modified > SWEEP_AGE_MS && !isKnown()) {
      unlinkSync(path);
      removed.push(relative(folder, path));
    }
    await nextTurn();
  }
  return removed;
}

async function isUnaltered(folder: string, row: BlobRef & { readonly sizeBytes: number }): Promise<boolean> {
  const hash = createHash('sha256');
  let sizeBytes = 0;
  try {
    for await (const chunk of readOriginal(fileOf(folder, row)) as AsyncIterable<Buffer>) {
      hash.update(chunk);
      sizeBytes += chunk.length;
    }
  } catch {
    // A file that cannot be unpacked is altered as much as one that unpacks to something else.
    return false;
  }
  return sizeBytes === row.sizeBytes && hash.digest('hex') === row.sha256;
}

function isBlobKnown(db: Db, path: string): boolean {
  const name = basename(path);
  const row = db
    .select()
    .from(blobs)
    .where(and(eq(blobs.sha256, name.replace(/\.gz$/, '')), isNull(blobs.removedAtMs)))
    .get();
  return row !== undefined && blobFileName(row) === name;
}

function isSignalFileKnown(db: Db, path: string): boolean {
  const row = db
    .select({ logId: logArtefacts.logId })
    .from(logArtefacts)
    .where(eq(logArtefacts.signalFile, basename(path)))
    .get();
  if (row !== undefined) return true;
  const waiting = db
    .select({ logId: candidateResults.logId })
    .from(candidateResults)
    .where(eq(candidateResults.signalFile, basename(path)))
    .get();
  return waiting !== undefined;
}

function isUploadKnown(db: Db, path: string): boolean {
  const row = db
    .select({ id: uploads.id })
    .from(uploads)
    .where(and(eq(uploads.id, basename(path)), eq(uploads.state, 'receiving')))
    .get();
  return row !== undefined;
}

function filesUnder(folder: string): string[] {
  // A backup without any file of a kind has no folder for it.
  if (!existsSync(folder)) return [];
  return readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry: Dirent) => entry.isFile())
    .map((entry: Dirent) => join(entry.parentPath, entry.name));
}
