import { existsSync, mkdirSync, readdirSync, renameSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { link } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import type Database from 'better-sqlite3';
import { sayIfDiskFull } from '../blobs/disk-space.js';
import { syncFolder } from '../blobs/sync-folder.js';
import { openDatabase } from '../database/open-database.js';
import { StoreError } from '../store-error.js';
import type { BackupFile, BackupManifest, MadeBackup } from './backups.js';
import { DATABASE_NAME, SIGNING_KEY_NAME } from './file-names.js';
import { copyHashed, hashFile } from './hash-file.js';
import { backupNames, MANIFEST_NAME, readManifest, summaryOf } from './manifest-file.js';
import { backupName } from './names.js';
import { readSnapshot, type Snapshot } from './read-snapshot.js';

/** Pages of the database that are copied in one go: some milliseconds during which nothing else is done. */
const PAGES_AT_ONCE = 500;
/** A backup that broke off is removed after this long (ms). */
const BROKEN_OFF_MS = 24 * 3600_000;

export interface MakeBackupOptions {
  readonly sqlite: Database.Database;
  /** Data folder. */
  readonly folder: string;
  readonly backupFolder: string;
  readonly now: number;
  /**
   * Whether this process is the one that writes: the database is then copied with room for requests between. Else it is
   * copied in one go, for what another process writes meanwhile would make it begin anew.
   */
  readonly isOwner: boolean;
}

/**
 * Copies the data folder as it is at one instant while it is in use. The database comes first, then every file that the
 * copy of it points at: those never change and are there before their row, so that all fits together. A file that the
 * backup before has already is linked to that one and takes no further room. The folder has its name only once
 * everything in it is synced. Throws `exists` for a second one within a second, `storage_full` and `backup_unusable`.
 */
export async function makeBackup(options: MakeBackupOptions): Promise<MadeBackup> {
  const { backupFolder, now } = options;
  const name = backupName(now);
  const path = join(backupFolder, name);
  if (existsSync(path)) throw new StoreError('exists', `There is a backup ${name} already.`);
  mkdirSync(backupFolder, { recursive: true, mode: 0o700 });
  removeBrokenOff(backupFolder, now);
  const unfinished = `${path}.${process.pid}.part`;
  mkdirSync(unfinished, { mode: 0o700 });
  try {
    const database = await copyDatabase(options, unfinished);
    const snapshot = readSnapshot(database);
    const gathered = await gatherFiles(options, unfinished, snapshot);
    const manifest: BackupManifest = {
      format: 'syncline-backup',
      formatVersion: 1,
      takenAtMs: now,
      schemaVersion: snapshot.schemaVersion,
      counts: snapshot.counts,
      auditHead: snapshot.auditHead,
      hasSigningKey: gathered.files.some((file) => file.path === SIGNING_KEY_NAME),
      missing: gathered.missing,
      files: [{ path: DATABASE_NAME, ...(await hashFile(database)) }, ...gathered.files],
    };
    writeFileSync(join(unfinished, MANIFEST_NAME), `${JSON.stringify(manifest, null, 1)}\n`, {
      flag: 'wx',
      mode: 0o600,
      flush: true,
    });
    await syncFolders(unfinished);
    renameSync(unfinished, path);
    await syncFolder(backupFolder);
    const { linkedCount, copiedBytes } = gathered;
    return { ...summaryOf(name, manifest), path, linkedCount, copiedBytes };
  } catch (error) {
    rmSync(unfinished, { recursive: true, force: true });
    throw sayIfDiskFull(error);
  }
}

async function copyDatabase({ sqlite, isOwner }: MakeBackupOptions, target: string): Promise<string> {
  const path = join(target, DATABASE_NAME);
  await sqlite.backup(path, { progress: ({ totalPages }) => (isOwner ? PAGES_AT_ONCE : Math.max(1, totalPages)) });
  const copy = openDatabase(path, { fileMustExist: true });
  try {
    // One file with everything in it: a copy of the header alone would ask for a write-ahead log beside it.
    copy.pragma('journal_mode = DELETE');
  } finally {
    copy.close();
  }
  return path;
}

interface Gathered {
  readonly files: readonly BackupFile[];
  readonly missing: readonly string[];
  readonly linkedCount: number;
  readonly copiedBytes: number;
}

async function gatherFiles(options: MakeBackupOptions, target: string, snapshot: Snapshot): Promise<Gathered> {
  const { folder, backupFolder } = options;
  const before = newestBefore(backupFolder);
  const files: BackupFile[] = [];
  const missing: string[] = [];
  let linkedCount = 0;
  let copiedBytes = 0;
  for (const path of [...snapshot.files, SIGNING_KEY_NAME]) {
    const to = join(target, path);
    mkdirSync(dirname(to), { recursive: true });
    const known = before?.files.get(path);
    if (known && path !== SIGNING_KEY_NAME && (await isLinked(join(before?.path ?? '', path), to, known.bytes))) {
      files.push(known);
      linkedCount += 1;
      continue;
    }
    const from = join(folder, path);
    if (!existsSync(from)) {
      if (path !== SIGNING_KEY_NAME) missing.push(path);
      continue;
    }
    const copied = await copyHashed(from, to);
    files.push({ path, ...copied });
    copiedBytes += copied.bytes;
  }
  return { files, missing, linkedCount, copiedBytes };
}

function newestBefore(backupFolder: string) {
  const [name] = backupNames(backupFolder);
  if (name === undefined) return undefined;
  const path = join(backupFolder, name);
  try {
    return { path, files: new Map(readManifest(path).files.map((file) => [file.path, file])) };
  } catch (error) {
    if (error instanceof StoreError) return undefined;
    throw error;
  }
}

/** False where the file is not there any more, has another size, or the file system knows no hard links. */
async function isLinked(from: string, to: string, bytes: number): Promise<boolean> {
  if (statSync(from, { throwIfNoEntry: false })?.size !== bytes) return false;
  try {
    await link(from, to);
    return true;
  } catch {
    return false;
  }
}

async function syncFolders(root: string): Promise<void> {
  for (const entry of readdirSync(root, { recursive: true, withFileTypes: true })) {
    if (entry.isDirectory()) await syncFolder(join(entry.parentPath, entry.name));
  }
  await syncFolder(root);
}

function removeBrokenOff(backupFolder: string, now: number): void {
  for (const name of readdirSync(backupFolder).filter((found) => found.endsWith('.part'))) {
    const path = join(backupFolder, name);
    const isFolder = statSync(path, { throwIfNoEntry: false })?.isDirectory() ?? false;
    if (isFolder && now - statSync(path).mtimeMs > BROKEN_OFF_MS) rmSync(path, { recursive: true, force: true });
  }
}
