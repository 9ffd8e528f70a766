import Database from 'better-sqlite3';
import { StoreError } from '../store-error.js';

/** A raw connection. Throws `driver_missing` when the native part of the driver was not built for this machine. */
export function openDatabase(path: string, options: Database.Options): Database.Database {
  try {
    return new Database(path, options);
  } catch (cause) {
    if (cause instanceof Database.SqliteError || cause instanceof TypeError) throw cause;
    throw new StoreError(
      'driver_missing',
      `The database driver does not load on ${process.platform}-${process.arch} with Node ${process.version}. ` +
        'Run `npm rebuild better-sqlite3` with this Node (20.19 or newer).',
      { cause },
    );
  }
}
