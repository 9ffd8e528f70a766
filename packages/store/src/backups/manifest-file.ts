import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { StoreError } from '../store-error.js';
import type { BackupManifest, BackupSummary } from './backups.js';
import { instantOfName } from './names.js';

export const MANIFEST_NAME = 'manifest.json';

/** Throws `backup_unusable` for a folder that is no whole backup, or one of a newer program. */
export function readManifest(path: string): BackupManifest {
  let manifest: Partial<BackupManifest>;
  try {
    manifest = JSON.parse(readFileSync(join(path, MANIFEST_NAME), 'utf8'));
  } catch (cause) {
    throw new StoreError(
      'backup_unusable',
      `${path} has no ${MANIFEST_NAME} that can be read: it is no backup, or one that broke off.`,
      { cause },
    );
  }
  if (manifest.format !== 'syncline-backup' || manifest.formatVersion !== 1 || !Array.isArray(manifest.files)) {
    throw new StoreError(
      'backup_unusable',
      `${path} says that it is '${manifest.format}' ${manifest.formatVersion}; this program reads 'syncline-backup' 1.`,
    );
  }
  return manifest as BackupManifest;
}

export function summaryOf(name: string, manifest: BackupManifest): BackupSummary {
  const { takenAtMs, schemaVersion, counts, auditHead, hasSigningKey, missing, files } = manifest;
  const totalBytes = files.reduce((sum, { bytes }) => sum + bytes, 0);
  const told = { takenAtMs, schemaVersion, counts, auditHead, hasSigningKey, missing };
  return { ...told, name, fileCount: files.length, totalBytes };
}

/** Names of whole backups, newest first; none where there is no such folder or its disk does not answer. */
export function backupNames(backupFolder: string): string[] {
  return namesIn(backupFolder)
    .filter((name) => instantOfName(name) !== undefined && existsSync(join(backupFolder, name, MANIFEST_NAME)))
    .sort()
    .reverse();
}

function namesIn(folder: string): string[] {
  try {
    return readdirSync(folder);
  } catch (error) {
    if (error instanceof Error && 'code' in error) return [];
    throw error;
  }
}

/** The newest backups first, at most `limit`. One whose manifest cannot be read is left out. */
export function listBackups(backupFolder: string, limit: number): BackupSummary[] {
  return backupNames(backupFolder)
    .slice(0, limit)
    .flatMap((name) => {
      try {
        return [summaryOf(name, readManifest(join(backupFolder, name)))];
      } catch (error) {
        if (error instanceof StoreError) return [];
        throw error;
      }
    });
}
