/** One file of a backup, as it lies there. */
export interface BackupFile {
  /** Below the folder of the backup, with `/` between its parts. */
  readonly path: string;
  readonly bytes: number;
  /** Of the bytes as they lie there, lower-case hex. */
  readonly sha256: string;
}

/** What a backup says of itself; written last, so that a folder without it is no backup. */
export interface BackupManifest {
  readonly format: 'syncline-backup';
  readonly formatVersion: 1;
  readonly takenAtMs: number;
  /** Number of migrations of the database. */
  readonly schemaVersion: number;
  /** Rows, to be told at a glance what is in it. */
  readonly counts: {
    readonly people: number;
    readonly vehicles: number;
    readonly logs: number;
    readonly revisions: number;
    readonly auditEntries: number;
  };
  /** Of the last audit entry; null for an empty trail. */
  readonly auditHead: string | null;
  /** Whether the private key that content is signed with is in it: whoever has the backup can then sign. */
  readonly hasSigningKey: boolean;
  /** Files that rows point at and that were not there. Empty unless the data folder was damaged. */
  readonly missing: readonly string[];
  readonly files: readonly BackupFile[];
}

export interface BackupSummary extends Omit<BackupManifest, 'files' | 'format' | 'formatVersion'> {
  /** Folder below that of the backups. */
  readonly name: string;
  readonly totalBytes: number;
  readonly fileCount: number;
}

/** A backup that was just made, and what it took. */
export interface MadeBackup extends BackupSummary {
  readonly path: string;
  /** Files that an earlier backup had already: they take no further room. */
  readonly linkedCount: number;
  readonly copiedBytes: number;
}

export interface BackupVerdict {
  readonly summary: BackupSummary;
  /** In words, one for each fault; empty when everything is as it was written and fits together. */
  readonly faults: readonly string[];
}
