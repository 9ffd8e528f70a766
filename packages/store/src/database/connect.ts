import type Database from 'better-sqlite3';
import { StoreError } from '../store-error.js';
import { openDatabase } from './open-database.js';

/** Above this size the write-ahead log is cut back after a checkpoint (bytes). */
const WAL_SIZE_LIMIT = 64 * 1024 * 1024;
/** Pages that a large transaction changes stay in memory up to this: half the time of a switch of 100,000 shifts (KiB). */
const WRITE_CACHE_KIB = 64 * 1024;
/**
 * Pages in the write-ahead log from which a commit moves them itself. Analyses do that beside it (`moveWriteLog`), so
 * that this is left to a server that analyses nothing.
 */
const OWN_CHECKPOINT_PAGES = 8000;
/** How long a statement waits for another connection's lock (ms). */
const BUSY_TIMEOUT_MS = 5000;

/** A commit waits until it is on the disk: what was answered survives a loss of power. */
export const LASTING = 'synchronous = FULL';
/** A commit does not wait: a loss of power may undo the last ones, whole and in their order. */
export const REPEATABLE = 'synchronous = NORMAL';

/** The one writing connection. */
export function connectForWriting(path: string): Database.Database {
  const sqlite = openDatabase(path, { timeout: BUSY_TIMEOUT_MS });
  const mode = sqlite.pragma('journal_mode = WAL', { simple: true });
  if (mode !== 'wal') {
    sqlite.close();
    throw new StoreError(
      'folder_unsafe',
      `The database ${path} cannot use a write-ahead log (SQLite answered '${String(mode)}'). Use a local disk.`,
    );
  }
  sqlite.pragma(LASTING);
  sqlite.pragma('foreign_keys = ON');
  // Without it INSERT OR REPLACE would pass by the triggers that forbid deletion.
  sqlite.pragma('recursive_triggers = ON');
  sqlite.pragma(`journal_size_limit = ${WAL_SIZE_LIMIT}`);
  sqlite.pragma(`wal_autocheckpoint = ${OWN_CHECKPOINT_PAGES}`);
  sqlite.pragma(`cache_size = -${WRITE_CACHE_KIB}`);
  return sqlite;
}

/** A connection that cannot write, for workers and exports. */
export function connectForReading(path: string): Database.Database {
  const sqlite = openDatabase(path, { readonly: true, fileMustExist: true, timeout: BUSY_TIMEOUT_MS });
  sqlite.pragma('query_only = ON');
  return sqlite;
}
