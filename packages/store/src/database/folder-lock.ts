import { hostname } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { StoreError } from '../store-error.js';
import { openDatabase } from './open-database.js';

export interface FolderLock {
  release(): void;
}

interface Holder {
  readonly pid: number;
  readonly host: string;
  readonly since: string;
}

/**
 * Takes the data folder for this process, or throws `folder_in_use` and says who has it. The lock is that of an open
 * SQLite transaction: the system drops it with the process, so a dead holder never has to be recognised by its id
 * (which another process may have by now). Readers may still look into the file, which is how the holder is named.
 */
export function lockFolder(folder: string, now: number): FolderLock {
  const path = join(folder, 'owner.lock');
  const file = openDatabase(path, { timeout: 200 });
  try {
    file.exec('CREATE TABLE IF NOT EXISTS holder (pid INTEGER, host TEXT, since TEXT)');
    writeHolder(file, { pid: process.pid, host: hostname(), since: new Date(now).toISOString() });
    file.exec('BEGIN IMMEDIATE');
  } catch (cause) {
    const holder = readHolder(file);
    file.close();
    if (!isBusy(cause)) throw cause;
    const who = holder ? `process ${holder.pid} on ${holder.host} since ${holder.since}` : 'another process';
    throw new StoreError('folder_in_use', `The data folder ${folder} is in use by ${who}. Stop it first.`, { cause });
  }
  return { release: () => file.close() };
}

function writeHolder(file: Database.Database, holder: Holder): void {
  file
    .transaction(() => {
      file.exec('DELETE FROM holder');
      file.prepare('INSERT INTO holder VALUES (?, ?, ?)').run(holder.pid, holder.host, holder.since);
    })
    .immediate();
}

function readHolder(file: Database.Database): Holder | undefined {
  try {
    return file.prepare<[], Holder>('SELECT pid, host, since FROM holder').get();
  } catch {
    return undefined;
  }
}

function isBusy(error: unknown): boolean {
  return error instanceof Database.SqliteError && error.code.startsWith('SQLITE_BUSY');
}
