import { cpSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import { migrate } from '../../src/database/migrate.js';
import { openTestStore, START_MS, temporaryFolder } from '../support/test-store.js';

const MIGRATIONS = join(import.meta.dirname, '../../../../migrations');

interface Journal {
  entries: { idx: number; tag: string }[];
}
const journal = JSON.parse(readFileSync(join(MIGRATIONS, 'meta', '_journal.json'), 'utf8')) as Journal;
const tags = journal.entries.map(({ tag }) => tag);

/** The folder of migrations as it was when there were so many. */
function migrationsUntil(count: number): string {
  const folder = temporaryFolder();
  cpSync(MIGRATIONS, folder, { recursive: true });
  const earlier = { ...journal, entries: journal.entries.slice(0, count) };
  writeFileSync(join(folder, 'meta', '_journal.json'), JSON.stringify(earlier));
  return folder;
}

interface Column {
  readonly name: string;
  readonly type: string;
  readonly notnull: number;
  readonly dflt_value: string | null;
  readonly pk: number;
}

/** Text that is JSON as well, so that one value does for columns of either kind. */
const TEXT = '{}';

/** One row in every table: each column that must have a value gets one, and references meet because all are equal. */
function fill(sqlite: Database.Database): ReadonlyMap<string, number> {
  sqlite.pragma('foreign_keys = OFF');
  const tables = sqlite
    .prepare(`SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY rowid`)
    .pluck()
    .all() as string[];
  for (const table of tables.filter((name) => name !== 'applied_migrations')) {
    const isFilled = sqlite.prepare(`SELECT 1 FROM "${table}"`).get() !== undefined;
    if (isFilled) continue;
    const columns = sqlite.pragma(`table_info("${table}")`) as readonly Column[];
    const needed = columns.filter(({ notnull, dflt_value, pk }) => (notnull === 1 && dflt_value === null) || pk > 0);
    const names = needed.map(({ name }) => `"${name}"`).join(', ');
    const values = needed.map(({ type }) => (/TEXT/i.test(type) ? TEXT : /BLOB/i.test(type) ? Buffer.alloc(0) : 1));
    sqlite.prepare(`INSERT INTO "${table}" (${names}) VALUES (${needed.map(() => '?').join(', ')})`).run(...values);
  }
  const broken = sqlite.pragma('foreign_key_check');
  expect(broken).toEqual([]);
  sqlite.pragma('foreign_keys = ON');
  return countRows(sqlite, tables);
}

function countRows(sqlite: Database.Database, tables: Iterable<string>): ReadonlyMap<string, number> {
  const count = (table: string) => sqlite.prepare(`SELECT count(*) FROM "${table}"`).pluck().get() as number;
  return new Map([...tables].map((table) => [table, count(table)]));
}

/** Everything that makes up the schema. */
function schemaOf(path: string): unknown[] {
  const sqlite = new Database(path, { readonly: true });
  const rows = sqlite
    .prepare(`SELECT type, name, sql FROM sqlite_schema WHERE name NOT LIKE 'sqlite_%' ORDER BY type, name`)
    .all();
  sqlite.close();
  return rows;
}

describe('a database that an earlier program has written', () => {
  it.each(tags.slice(0, -1).map((tag, index) => [tag, index + 1] as const))(
    'with its newest migration %s is opened by this one, with every row and the schema of a new one',
    (_tag, count) => {
      const folder = temporaryFolder();
      const path = join(folder, 'syncline.db');
      const sqlite = new Database(path);
      sqlite.pragma('journal_mode = WAL');
      migrate(sqlite, { folder: migrationsUntil(count), now: START_MS });
      const before = fill(sqlite);
      sqlite.close();

      const { store } = openTestStore({ folder });
      expect(store.status().schemaVersion).toBe(tags.length);
      expect(store.fleet.verifySummaries()).toEqual([]);
      expect(store.read.audit.after(0, 10).every(({ hash }) => hash !== '')).toBe(true);
      store.close();

      const after = new Database(path, { readonly: true });
      expect(after.pragma('integrity_check', { simple: true })).toBe('ok');
      expect(after.pragma('foreign_key_check')).toEqual([]);
      const shrunk = /^-- shrinks: (\w+)$/gm;
      const mayShrink = tags
        .slice(count)
        .flatMap((tag) => [...readFileSync(join(MIGRATIONS, `${tag}.sql`), 'utf8').matchAll(shrunk)].map((m) => m[1]));
      const names = after.prepare(`SELECT name FROM sqlite_schema WHERE type = 'table'`).pluck().all() as string[];
      for (const [table, rows] of before) {
        if (mayShrink.includes(table)) continue;
        expect({ table, isThere: names.includes(table) }).toEqual({ table, isThere: true });
        // Counting anew what a migration left to be counted may add rows; none may be lost.
        expect(countRows(after, [table]).get(table), table).toBeGreaterThanOrEqual(rows);
      }
      after.close();

      const fresh = openTestStore();
      fresh.store.close();
      expect(schemaOf(path)).toEqual(schemaOf(join(fresh.folder, 'syncline.db')));
    },
  );
});
