import { join } from 'node:path';
import Database from 'better-sqlite3';
import { DATABASE_NAME } from '../backups/file-names.js';
import { openDatabase } from './open-database.js';

/**
 * Moves what was committed from the write-ahead log into the database, as far as nobody is in the way; waits for no one
 * and changes nothing of what anybody reads. For a thread beside the owner's, whose requests would wait for it as long
 * as for the commits themselves.
 */
export function moveWriteLog(folder: string): void {
  const sqlite = openDatabase(join(folder, DATABASE_NAME), { fileMustExist: true });
  try {
    sqlite.pragma('wal_checkpoint(PASSIVE)');
  } catch (error) {
    // On a disk that is full or read-only it stays in the log: nothing is lost, and whoever writes next is told.
    if (!(error instanceof Database.SqliteError)) throw error;
  } finally {
    sqlite.close();
  }
}
