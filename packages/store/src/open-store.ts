import { mkdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type Database from 'better-sqlite3';
import { analysisRunReads } from './analysis-runs/run-reads.js';
import { analysisRunWrites } from './analysis-runs/run-writes.js';
import { applicationReads } from './applications/application-reads.js';
import { applicationWrites } from './applications/application-writes.js';
import { auditReads } from './audit/audit-reads.js';
import { blobReader } from './blobs/blob-reader.js';
import { blobStore } from './blobs/blob-store.js';
import { clearScratch } from './blobs/scratch.js';
import { calibrationReads } from './calibrations/calibration-reads.js';
import { calibrationWrites } from './calibrations/calibration-writes.js';
import { captureReads } from './captures/capture-reads.js';
import { captureWrites } from './captures/capture-writes.js';
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
import { giveBackInterrupted } from './jobs/claim-job.js';
import { jobReads } from './jobs/job-reads.js';
import { jobWrites } from './jobs/job-writes.js';
import { logReads } from './logs/log-reads.js';
import { logWrites } from './logs/log-writes.js';
import { peopleReads } from './people/people-reads.js';
import { peopleWrites } from './people/people-writes.js';
import { platformReads } from './platforms/platform-reads.js';
import { platformWrites } from './platforms/platform-writes.js';
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

/** The migrations of this repository, from `src` as well as from `dist`. */
const MIGRATIONS_FOLDER = fileURLToPath(new URL('../../../migrations', import.meta.url));
const DATABASE_NAME = 'syncline.db';
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
}

/**
 * Opens the data folder for writing: takes its lock, brings the schema up to date (with a backup before), and gives
 * jobs of a process that died back to the queue. Throws `folder_in_use`, naming who holds it, and the migration codes.
 */
export function openStore(options: StoreOptions): Store {
  const { folder, clock, ids } = options;
  for (const part of ['blobs', 'incoming', 'signals', 'uploads']) mkdirSync(join(folder, part), { recursive: true });
  const lock = lockFolder(folder, clock());
  let sqlite: Database.Database | undefined;
  try {
    clearScratch(folder);
    sqlite = connectForWriting(join(folder, DATABASE_NAME));
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
  context.transaction(() => giveBackInterrupted(context));
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
    dialects: dialectWrites(context),
    drafts: draftWrites(context),
    fleet: fleetWrites(context),
    idempotency: idempotencyKeys(context),
    jobs: jobWrites(context),
    logs: logWrites(context, { hasSignalFile: (name) => hasSignalFile(folder, name) }),
    people: peopleWrites(context),
    platforms: platformWrites(context),
    requests: requestWrites(context),
    reviews: reviewWrites(context),
    signals: signalStore(folder, ids),
    tokens: tokenWrites(context),
    uploads: uploadStore(context, { folder, minFreeBytes }),
    vehicles: vehicleWrites(context),
    transaction: (work) => context.transaction(work),
    status: () => ({
      folder,
      schemaVersion,
      databaseBytes: fileBytes(sqlite.name),
      walBytes: fileBytes(`${sqlite.name}-wal`),
      freeBytes: freeBytes(folder),
      warning: folderWarning(folder),
    }),
    checkpoint,
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
    close: () => sqlite.close(),
  };
}

function reads(db: Db, clock: () => number): Reads {
  return {
    analysisRuns: analysisRunReads(db),
    applications: applicationReads(db),
    audit: auditReads(db),
    calibrations: calibrationReads(db, clock),
    captures: captureReads(db),
    dialects: dialectReads(db),
    drafts: draftReads(db, clock),
    fleet: fleetReads(db),
    jobs: jobReads(db),
    logs: logReads(db),
    people: peopleReads(db, clock),
    platforms: platformReads(db),
    requests: requestReads(db, clock),
    reviews: reviewReads(db),
    shifts: shiftReads(db),
    tokens: tokenReads(db, clock),
    uploads: uploadReads(db),
    vehicles: vehicleReads(db, clock),
  };
}

function fileBytes(path: string): number {
  return statSync(path, { throwIfNoEntry: false })?.size ?? 0;
}
