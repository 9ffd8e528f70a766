import { accessSync, constants, mkdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type Database from 'better-sqlite3';
import { analysisRunReads } from './analysis-runs/run-reads.js';
import { analysisRunWrites } from './analysis-runs/run-writes.js';
import { applicationReads } from './applications/application-reads.js';
import { applicationWrites } from './applications/application-writes.js';
import { chainOldEntries } from './audit/append-audit.js';
import { auditReads } from './audit/audit-reads.js';
import type { BackupVerdict } from './backups/backups.js';
import { DATABASE_NAME } from './backups/file-names.js';
import { makeBackup } from './backups/make-backup.js';
import { verifyBackup as verifyBackupWith } from './backups/verify-backup.js';
import { blobReader } from './blobs/blob-reader.js';
import { blobStore } from './blobs/blob-store.js';
import { clearScratch } from './blobs/scratch.js';
import { calibrationReads } from './calibrations/calibration-reads.js';
import { calibrationWrites } from './calibrations/calibration-writes.js';
import { captureReads } from './captures/capture-reads.js';
import { captureWrites } from './captures/capture-writes.js';
import { controlUnitReads } from './control-units/control-unit-reads.js';
import { controlUnitWrites } from './control-units/control-unit-writes.js';
import { credentialReads } from './credentials/credential-reads.js';
import { credentialWrites } from './credentials/credential-writes.js';
import { connectForReading, connectForWriting } from './database/connect.js';
import { type Db, queryBuilder, writeContext } from './database/context.js';
import { lockFolder } from './database/folder-lock.js';
import { folderWarning, freeBytes } from './database/folder-warning.js';
import { checkSchema, migrate } from './database/migrate.js';
import { dialectReads } from './dialects/dialect-reads.js';
import { dialectWrites } from './dialects/dialect-writes.js';
import { draftReads } from './drafts/draft-reads.js';
import { draftWrites } from './drafts/draft-writes.js';
import { fleetReads } from './fleet/fleet-reads.js';
import { fleetWrites } from './fleet/fleet-writes.js';
import { findSummaryDifferences, rebuildStaleSummaries } from './fleet/summaries.js';
import { summaryReader } from './fleet/summary-reader.js';
import { giveBackInterrupted } from './jobs/claim-job.js';
import { jobReads } from './jobs/job-reads.js';
import { jobWrites } from './jobs/job-writes.js';
import { logReads } from './logs/log-reads.js';
import { logWrites } from './logs/log-writes.js';
import { noticeReads, noticeWrites } from './notices/notice-store.js';
import { peopleReads } from './people/people-reads.js';
import { peopleWrites } from './people/people-writes.js';
import { platformReads } from './platforms/platform-reads.js';
import { platformWrites } from './platforms/platform-writes.js';
import { proposalReads } from './proposals/proposal-reads.js';
import { proposalWrites } from './proposals/proposal-writes.js';
import { holdRestored } from './releases/hold-restored.js';
import { releaseReads } from './releases/release-reads.js';
import { releaseWrites } from './releases/release-writes.js';
import { idempotencyKeys } from './replies/idempotency-keys-store.js';
import { requestReads } from './requests/request-reads.js';
import { requestWrites } from './requests/request-writes.js';
import { reviewReads } from './reviews/review-reads.js';
import { reviewWrites } from './reviews/review-writes.js';
import { shiftReads } from './shifts/shift-reads.js';
import { hasSignalFile, signalReader, signalStore } from './signals/signal-store.js';
import type { ReadStore, Reads, Store } from './store.js';
import { tokenReads } from './tokens/token-reads.js';
import { tokenWrites } from './tokens/token-writes.js';
import { uploadReads } from './uploads/upload-reads.js';
import { uploadStore } from './uploads/upload-store.js';
import { vehicleReads } from './vehicles/vehicle-reads.js';
import { vehicleWrites } from './vehicles/vehicle-writes.js';
import { verifyData } from './verify/verify-data.js';

/** The migrations of this repository, from `src` as well as from `dist`. */
const MIGRATIONS_FOLDER = fileURLToPath(new URL('../../../migrations', import.meta.url));
/** Free space that uploads must leave for the database and for results (bytes). */
const MIN_FREE_BYTES = 512 * 1024 * 1024;

export interface StoreOptions {
  /** Data folder; made when absent. One process at a time. */
  readonly folder: string;
  /** Now, UTC in milliseconds. */
  readonly clock: () => number;
  /** A new id: unique, and rising with time so that rows sort by age. */
  readonly ids: () => string;
  /** Folder of the migrations; the one of this repository by default. */
  readonly migrationsFolder?: string;
  /** Uploads are refused when less than this is free on the disk (bytes, default 512 MiB). */
  readonly minFreeBytes?: number;
  /** The database refuses to grow beyond so many pages; no bound by default. */
  readonly maxDatabasePages?: number;
}

/**
 * Opens the data folder for writing: takes its lock, brings the schema up to date (with a backup before), gives jobs of
 * a process that died back to the queue, and holds the releases of a folder that was made from a backup. Throws `folder_in_use`, naming who holds it, and the migration codes.
 */
export function openStore(options: StoreOptions): Store {
  const { folder, clock, ids } = options;
  for (const part of ['blobs', 'incoming', 'signals', 'uploads']) mkdirSync(join(folder, part), { recursive: true });
  const lock = lockFolder(folder, clock());
  let sqlite: Database.Database | undefined;
  try {
    clearScratch(folder);
    sqlite = connectForWriting(join(folder, DATABASE_NAME));
    if (options.maxDatabasePages !== undefined) sqlite.pragma(`max_page_count = ${options.maxDatabasePages}`);
    const migrationsFolder = options.migrationsFolder ?? MIGRATIONS_FOLDER;
    const schemaVersion = migrate(sqlite, { folder: migrationsFolder, now: clock() });
    return assemble(sqlite, { folder, clock, ids, schemaVersion, minFreeBytes: options.minFreeBytes, lock });
  } catch (error) {
    sqlite?.close();
    lock.release();
    throw error;
  }
}

function assemble(
  sqlite: Database.Database,
  options: Pick<StoreOptions, 'folder' | 'clock' | 'ids' | 'minFreeBytes'> & {
    readonly schemaVersion: number;
    readonly lock: { release(): void };
  },
): Store {
  const { folder, clock, ids, lock, schemaVersion, minFreeBytes = MIN_FREE_BYTES } = options;
  const context = writeContext(sqlite, { clock, ids });
  chainOldEntries(context);
  context.transaction(() => {
    giveBackInterrupted(context);
    rebuildStaleSummaries(context.db);
  });
  holdRestored(context, folder);
  const checkpoint = () => {
    // Keeps the planner's idea of the data up to date; does nothing unless a table has changed much.
    sqlite.pragma('optimize');
    sqlite.pragma('wal_checkpoint(TRUNCATE)');
  };
  return {
    read: reads(context.db, clock),
    analysisRuns: analysisRunWrites(context, { hasSignalFile: (name) => hasSignalFile(folder, name) }),
    applications: applicationWrites(context),
    blobs: blobStore(context, { folder, minFreeBytes }),
    calibrations: calibrationWrites(context),
    captures: captureWrites(context),
    credentials: credentialWrites(context),
    controlUnits: controlUnitWrites(context),
    dialects: dialectWrites(context),
    drafts: draftWrites(context),
    fleet: fleetWrites(context),
    idempotency: idempotencyKeys(context),
    jobs: jobWrites(context),
    logs: logWrites(context, { hasSignalFile: (name) => hasSignalFile(folder, name) }),
    notices: noticeWrites(context),
    people: peopleWrites(context),
    platforms: platformWrites(context),
    proposals: proposalWrites(context),
    releases: releaseWrites(context),
    requests: requestWrites(context),
    reviews: reviewWrites(context),
    signals: signalStore(folder, ids),
    tokens: tokenWrites(context),
    uploads: uploadStore(context, { folder, minFreeBytes }),
    vehicles: vehicleWrites(context),
    transaction: (work) => context.transaction(work),
    repeatable: (work) => context.repeatable(work),
    status: () => ({
      folder,
      schemaVersion,
      databaseBytes: fileBytes(sqlite.name),
      walBytes: fileBytes(`${sqlite.name}-wal`),
      freeBytes: freeBytes(folder),
      warning: folderWarning(folder),
    }),
    checkpoint,
    checkWritable() {
      accessSync(folder, constants.W_OK);
      // Takes the right to write and gives it back: a lock that is stuck or a file that went read-only shows.
      context.transaction(() => {});
    },
    backUp: (backupFolder) => makeBackup({ sqlite, folder, backupFolder, now: clock(), isOwner: true }),
    verifyData: () => verifyData(context.db, folder, clock()),
    close() {
      checkpoint();
      sqlite.close();
      lock.release();
    },
  };
}

/** Opens an existing data folder beside its owner without any right to write. Throws `schema_missing` or `schema_newer`. */
export function openReadOnly(options: {
  readonly folder: string;
  readonly clock: () => number;
  readonly migrationsFolder?: string;
}): ReadStore {
  const { folder, clock } = options;
  const sqlite = connectForReading(join(folder, DATABASE_NAME));
  try {
    checkSchema(sqlite, options.migrationsFolder ?? MIGRATIONS_FOLDER);
  } catch (error) {
    sqlite.close();
    throw error;
  }
  const db = queryBuilder(sqlite);
  return {
    read: reads(db, clock),
    blobs: blobReader(db, folder),
    signals: signalReader(folder),
    verifySummaries: () => sqlite.transaction(() => findSummaryDifferences(db)).deferred(),
    verifyData: () => verifyData(db, folder, clock()),
    backUp: (backupFolder) => makeBackup({ sqlite, folder, backupFolder, now: clock(), isOwner: false }),
    close: () => sqlite.close(),
  };
}

/** Reads a whole backup and holds it against itself; see `BackupVerdict`. */
export function verifyBackup(path: string): Promise<BackupVerdict> {
  return verifyBackupWith(path, MIGRATIONS_FOLDER);
}

function reads(db: Db, clock: () => number): Reads {
  const summaries = summaryReader(db);
  return {
    analysisRuns: analysisRunReads(db),
    applications: applicationReads(db),
    audit: auditReads(db),
    calibrations: calibrationReads(db, clock),
    captures: captureReads(db),
    credentials: credentialReads(db, clock),
    controlUnits: controlUnitReads(db),
    dialects: dialectReads(db),
    drafts: draftReads(db, clock),
    fleet: fleetReads(db, summaries),
    jobs: jobReads(db),
    logs: logReads(db),
    notices: noticeReads(db, clock),
    people: peopleReads(db, clock),
    platforms: platformReads(db),
    proposals: proposalReads(db),
    releases: releaseReads(db, clock),
    requests: requestReads(db, clock),
    reviews: reviewReads(db),
    shifts: shiftReads(db, summaries),
    tokens: tokenReads(db, clock),
    uploads: uploadReads(db),
    vehicles: vehicleReads(db, clock),
  };
}

function fileBytes(path: string): number {
  return statSync(path, { throwIfNoEntry: false })?.size ?? 0;
}
