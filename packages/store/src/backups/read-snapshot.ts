import { relative } from 'node:path';
import { type BlobRef, blobPath } from '../blobs/blob-files.js';
import { openDatabase } from '../database/open-database.js';
import type { BackupManifest } from './backups.js';

/** What the copy of a database says: which files belong to it, and what is in it. */
export interface Snapshot extends Pick<BackupManifest, 'schemaVersion' | 'counts' | 'auditHead'> {
  /** Of blobs and signal files, below the data folder. */
  readonly files: readonly string[];
}

/** Reads a database that nobody writes to, of this schema. */
export function readSnapshot(path: string): Snapshot {
  const copy = openDatabase(path, { readonly: true, fileMustExist: true });
  try {
    const count = (table: string) => copy.prepare(`SELECT count(*) FROM ${table}`).pluck().get() as number;
    const blobs = copy.prepare('SELECT sha256, encoding FROM blobs WHERE removed_at_ms IS NULL').all() as BlobRef[];
    const signals = copy
      .prepare(
        `SELECT signal_file FROM log_artefacts WHERE signal_file IS NOT NULL
         UNION SELECT signal_file FROM candidate_results WHERE signal_file IS NOT NULL ORDER BY 1`,
      )
      .pluck()
      .all() as string[];
    const head = copy.prepare('SELECT hash FROM audit ORDER BY id DESC LIMIT 1').pluck().get();
    return {
      schemaVersion: count('applied_migrations'),
      counts: {
        people: count('people'),
        vehicles: count('vehicles'),
        logs: count('logs'),
        revisions: count('revisions'),
        auditEntries: count('audit'),
      },
      auditHead: (head as string | undefined) ?? null,
      files: [...blobs.map((blob) => relative('.', blobPath('.', blob))), ...signals.map((name) => `signals/${name}`)],
    };
  } finally {
    copy.close();
  }
}
