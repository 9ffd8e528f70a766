import { existsSync, mkdirSync, readdirSync, renameSync, rmSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { sayIfDiskFull } from '../blobs/disk-space.js';
import { syncFolder } from '../blobs/sync-folder.js';
import { markRestored } from '../releases/hold-restored.js';
import { StoreError } from '../store-error.js';
import type { BackupSummary } from './backups.js';
import { DATABASE_NAME } from './file-names.js';
import { copyHashed } from './hash-file.js';
import { readManifest, summaryOf } from './manifest-file.js';

/**
 * Makes a data folder from a backup. Each file is hashed while it is copied, and the database, without which the folder
 * is none, comes last: what broke off cannot be taken for whole. Whoever opens it first holds its releases. Throws `exists` unless the folder is new or empty,
 * `backup_unusable` for a file that is not as it was written (nothing stays then), and `storage_full`.
 */
export async function restoreBackup(path: string, folder: string): Promise<BackupSummary> {
  const manifest = readManifest(path);
  if (existsSync(folder) && readdirSync(folder).length > 0) {
    throw new StoreError('exists', `${folder} is not empty. Name a new folder: nothing is ever written over.`);
  }
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  const unfinishedDatabase = `${DATABASE_NAME}.part`;
  try {
    const databaseLast = [...manifest.files].sort(
      (a, b) => Number(a.path === DATABASE_NAME) - Number(b.path === DATABASE_NAME),
    );
    for (const file of databaseLast) {
      const to = join(folder, file.path === DATABASE_NAME ? unfinishedDatabase : file.path);
      if (!resolve(to).startsWith(`${resolve(folder)}/`)) {
        throw new StoreError('backup_unusable', `The manifest names ${file.path}, outside of the folder.`);
      }
      mkdirSync(dirname(to), { recursive: true });
      const { sha256, bytes } = await copyFrom(join(path, file.path), to);
      if (sha256 === file.sha256 && bytes === file.bytes) continue;
      throw new StoreError(
        'backup_unusable',
        `${file.path} of the backup is not as it was written (${bytes} bytes, SHA-256 ${sha256}). Use another backup.`,
      );
    }
    markRestored(folder, manifest.takenAtMs);
    renameSync(join(folder, unfinishedDatabase), join(folder, DATABASE_NAME));
    await syncFolder(folder);
  } catch (error) {
    for (const name of readdirSync(folder)) rmSync(join(folder, name), { recursive: true, force: true });
    throw sayIfDiskFull(error);
  }
  return summaryOf(path, manifest);
}

async function copyFrom(from: string, to: string) {
  try {
    return await copyHashed(from, to);
  } catch (cause) {
    if (cause instanceof Error && 'code' in cause && cause.code === 'ENOENT') {
      throw new StoreError('backup_unusable', `${from} is missing. Use another backup.`, { cause });
    }
    throw cause;
  }
}
