import type Database from 'better-sqlite3';
import { type BetterSQLite3Database, drizzle } from 'drizzle-orm/better-sqlite3';
import { LASTING, REPEATABLE } from './connect.js';
import { withKeptStatements } from './kept-statements.js';

/** The query builder over one connection. Synchronous throughout. */
export type Db = BetterSQLite3Database<Record<string, never>> & { readonly $client: Database.Database };

/** What writes need. Clock and ids come from outside, so that the same input gives the same rows. */
export interface WriteContext {
  readonly db: Db;
  readonly clock: () => number;
  readonly ids: () => string;
  /**
   * Runs `work` as one transaction that holds the right to write from its first statement; inside another one it
   * becomes a part of it, and when it fails nothing of the other is kept either, whoever catches the error. `work` must
   * not wait for anything.
   */
  readonly transaction: <T>(work: () => T) => T;
  /**
   * A transaction of what is done again by itself after a loss of power, like the state of a job and what it found: as
   * whole as any other, but it does not wait for the disk. It lasts from the next one on that does.
   */
  readonly repeatable: <T>(work: () => T) => T;
}

export function queryBuilder(sqlite: Database.Database): Db {
  // What is prepared by hand is the connection's own.
  return Object.assign(drizzle({ client: withKeptStatements(sqlite) }), { $client: sqlite });
}

export function writeContext(
  sqlite: Database.Database,
  options: { clock: () => number; ids: () => string },
): WriteContext {
  return { db: queryBuilder(sqlite), clock: options.clock, ids: options.ids, ...transactions(sqlite) };
}

/** No savepoint marks a part: for it a copy of every page that the part changes would be written. */
function transactions(sqlite: Database.Database): Pick<WriteContext, 'transaction' | 'repeatable'> {
  let isBroken = false;

  function part<T>(work: () => T): T {
    try {
      return work();
    } catch (error) {
      isBroken = true;
      throw error;
    }
  }

  function whole<T>(work: () => T): T {
    isBroken = false;
    const result = work();
    if (isBroken) throw new Error('A part of a transaction failed, so that none of it may be kept.');
    return result;
  }

  function transaction<T>(work: () => T): T {
    return sqlite.inTransaction ? part(work) : sqlite.transaction(() => whole(work)).immediate();
  }

  function repeatable<T>(work: () => T): T {
    if (sqlite.inTransaction) return part(work);
    sqlite.pragma(REPEATABLE);
    try {
      return transaction(work);
    } finally {
      sqlite.pragma(LASTING);
    }
  }

  return { transaction, repeatable };
}
