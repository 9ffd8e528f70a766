import type Database from 'better-sqlite3';

/** Lists of ids give texts of any length; so many of the texts asked for last are kept. */
const MOST_KEPT = 400;

/**
 * A connection as the query builder uses it, that prepares each text once: to parse and plan a query again costs as
 * much as to run it. Answers in rows and in objects are two statements, because that is a state of a statement.
 */
export function withKeptStatements(sqlite: Database.Database): Database.Database {
  const kept = new Map<string, KeptStatement>();
  const prepare = (text: string) => {
    const statement = kept.get(text) ?? new KeptStatement(sqlite, text);
    // The one used last goes to the end.
    kept.delete(text);
    kept.set(text, statement);
    const [oldest] = kept.keys();
    if (kept.size > MOST_KEPT) kept.delete(oldest);
    return statement;
  };
  return Object.create(sqlite, { prepare: { value: prepare } }) as Database.Database;
}

/** What the query builder asks of a statement. */
class KeptStatement {
  private readonly prepare: () => Database.Statement;
  private keptPlain: Database.Statement | undefined;
  private keptRows: Database.Statement | undefined;

  constructor(sqlite: Database.Database, text: string) {
    this.prepare = () => sqlite.prepare(text);
  }

  run(...values: unknown[]): Database.RunResult {
    return this.plain.run(...values);
  }

  all(...values: unknown[]): unknown[] {
    return this.plain.all(...values);
  }

  get(...values: unknown[]): unknown {
    return this.plain.get(...values);
  }

  raw(): Database.Statement {
    return (this.keptRows ??= this.prepare().raw());
  }

  private get plain(): Database.Statement {
    return (this.keptPlain ??= this.prepare());
  }
}
