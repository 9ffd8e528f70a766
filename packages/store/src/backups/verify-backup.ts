import { existsSync, readdirSync } from 'node:fs';
import { basename, join, relative } from 'node:path';
import { queryBuilder } from '../database/context.js';
import { schemaOf } from '../database/migrate.js';
import { openDatabase } from '../database/open-database.js';
import { verifyData } from '../verify/verify-data.js';
import type { BackupManifest, BackupVerdict } from './backups.js';
import { DATABASE_NAME } from './file-names.js';
import { hashFile } from './hash-file.js';
import { MANIFEST_NAME, readManifest, summaryOf } from './manifest-file.js';
import { readSnapshot } from './read-snapshot.js';

/**
 * Reads a whole backup: every file by its hash, the database by its own check, each original against its row, and the
 * audit trail by its chain. Long. Throws `backup_unusable` for what is no backup, `schema_newer` for one of a newer program.
 */
export async function verifyBackup(path: string, migrationsFolder: string): Promise<BackupVerdict> {
  const manifest = readManifest(path);
  const summary = summaryOf(basename(path), manifest);
  const faults = [
    ...manifest.missing.map((file) => `${file} was missing when the backup was made`),
    ...(await fileFaults(path, manifest)),
  ];
  // What a database says that is not as it was written concerns nobody.
  if (faults.some((fault) => fault.startsWith(`${DATABASE_NAME} `))) return { summary, faults };
  return { summary, faults: [...faults, ...(await databaseFaults(path, manifest, migrationsFolder))] };
}

async function fileFaults(path: string, { files }: BackupManifest): Promise<string[]> {
  const faults: string[] = [];
  for (const file of files) {
    const place = join(path, file.path);
    if (!existsSync(place)) {
      faults.push(`${file.path} is missing`);
      continue;
    }
    const { sha256, bytes } = await hashFile(place);
    if (bytes !== file.bytes) faults.push(`${file.path} has ${bytes} bytes, not ${file.bytes}`);
    else if (sha256 !== file.sha256) faults.push(`${file.path} was changed: SHA-256 ${sha256}, not ${file.sha256}`);
  }
  const known = new Set([MANIFEST_NAME, ...files.map((file) => file.path)]);
  for (const entry of readdirSync(path, { recursive: true, withFileTypes: true })) {
    const name = relative(path, join(entry.parentPath, entry.name));
    if (entry.isFile() && !known.has(name)) faults.push(`${name} does not belong to the backup`);
  }
  return faults;
}

async function databaseFaults(path: string, manifest: BackupManifest, migrationsFolder: string): Promise<string[]> {
  const sqlite = openDatabase(join(path, DATABASE_NAME), { readonly: true, fileMustExist: true });
  try {
    const { applied, known } = schemaOf(sqlite, migrationsFolder);
    const faults: string[] = [];
    if (applied !== manifest.schemaVersion) {
      faults.push(`the database has schema ${applied}, the manifest says ${manifest.schemaVersion}`);
    }
    // What rows mean is known of this program's schema alone; an older one is brought up to date when it is opened.
    if (applied < known) {
      const verdict = sqlite.pragma('integrity_check', { simple: true });
      return verdict === 'ok' ? faults : [...faults, `the database is damaged: ${String(verdict)}`];
    }
    const data = await verifyData(queryBuilder(sqlite), path, null);
    const isToldAlready = (fault: string) => manifest.missing.some((file) => fault.includes(basename(file, '.gz')));
    faults.push(...data.faults.filter((fault) => !isToldAlready(fault)));
    if (data.auditHead !== manifest.auditHead && data.faults.length === 0) {
      faults.push(`the audit trail ends with ${data.auditHead}, the manifest says ${manifest.auditHead}`);
    }
    const { counts } = readSnapshot(join(path, DATABASE_NAME));
    for (const [what, count] of Object.entries(manifest.counts)) {
      const found = counts[what as keyof typeof counts];
      if (found !== count) faults.push(`the database has ${found} ${what}, the manifest says ${count}`);
    }
    return faults;
  } finally {
    sqlite.close();
  }
}
