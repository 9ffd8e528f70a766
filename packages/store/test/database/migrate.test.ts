import { cpSync, existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import { migrate } from '../../src/database/migrate.js';
import { StoreError } from '../../src/index.js';
import { openTestStore, START_MS, temporaryFolder } from '../support/test-store.js';

const REAL_MIGRATIONS = join(import.meta.dirname, '../../../../migrations');

/** A folder of migrations as drizzle-kit lays it out. */
function migrationsOf(files: readonly { tag: string; sql: string; when?: number }[]): string {
  const folder = temporaryFolder();
  mkdirSync(join(folder, 'meta'));
  const entries = files.map(({ tag, when }, idx) => ({ idx, tag, when: when ?? 1000 + idx }));
  writeFileSync(join(folder, 'meta', '_journal.json'), JSON.stringify({ entries }));
  for (const { tag, sql } of files) writeFileSync(join(folder, `${tag}.sql`), sql);
  return folder;
}

function database(): Database.Database {
  const sqlite = new Database(join(temporaryFolder(), 'test.db'));
  sqlite.pragma('foreign_keys = ON');
  return sqlite;
}

const FIRST = {
  tag: '0000_first',
  sql: `CREATE TABLE parent (id INTEGER PRIMARY KEY);
--> statement-breakpoint
CREATE TABLE child (id INTEGER PRIMARY KEY, parent_id INTEGER NOT NULL REFERENCES parent(id) ON DELETE CASCADE);
--> statement-breakpoint
INSERT INTO parent VALUES (1), (2);
--> statement-breakpoint
INSERT INTO child VALUES (10, 1), (11, 2);`,
};
const REBUILD = {
  tag: '0001_rebuild',
  sql: `CREATE TABLE __new_parent (id INTEGER PRIMARY KEY, name TEXT);
--> statement-breakpoint
INSERT INTO __new_parent (id) SELECT id FROM parent;
--> statement-breakpoint
DROP TABLE parent;
--> statement-breakpoint
ALTER TABLE __new_parent RENAME TO parent;`,
};

function codeOf(work: () => unknown): { code: string; message: string } {
  try {
    work();
  } catch (error) {
    if (error instanceof StoreError) return { code: error.code, message: error.message };
    throw error;
  }
  throw new Error('expected a StoreError');
}

describe('the migrations of the repository', () => {
  it('make every table of the schema in an empty folder, in as many rows as files', () => {
    const { store, folder } = openTestStore({ folder: temporaryFolder() });
    const files = readdirSync(REAL_MIGRATIONS).filter((name) => name.endsWith('.sql'));
    expect(store.status().schemaVersion).toBe(files.length);
    store.close();
    const sqlite = new Database(join(folder, 'syncline.db'), { readonly: true });
    expect(sqlite.prepare('SELECT tag FROM applied_migrations ORDER BY number').pluck().all()).toEqual(
      files.map((name) => name.replace('.sql', '')).sort(),
    );
    expect(sqlite.pragma('integrity_check', { simple: true })).toBe('ok');
    sqlite.close();
  });

  it('are applied once: opening again changes nothing and makes no backup', () => {
    const { store, folder } = openTestStore();
    store.close();
    const again = openTestStore({ folder });
    expect(again.store.status().schemaVersion).toBeGreaterThan(0);
    expect(existsSync(join(folder, 'backups'))).toBe(false);
  });

  it('say in their first line when they were written by hand', () => {
    const isGenerated = (line: string) => /^(CREATE|ALTER|DROP|INSERT|UPDATE|PRAGMA) /.test(line);
    const firstLines = readdirSync(REAL_MIGRATIONS)
      .filter((name) => name.endsWith('.sql'))
      .map((name) => readFileSync(join(REAL_MIGRATIONS, name), 'utf8').split('\n')[0]);
    const byHand = firstLines.filter((line) => !isGenerated(line));
    expect(byHand).toEqual(byHand.map(() => expect.stringMatching(/^-- Written by hand: /)));
    expect(byHand.length).toBeGreaterThan(0);
  });

  it('are refused when one of them was edited after it had been applied', () => {
    const migrationsFolder = temporaryFolder();
    cpSync(REAL_MIGRATIONS, migrationsFolder, { recursive: true });
    const { store, folder } = openTestStore({ migrationsFolder });
    store.close();
    const path = join(migrationsFolder, '0001_guards.sql');
    writeFileSync(path, `${readFileSync(path, 'utf8')}\n-- one more line`);
    const { code, message } = codeOf(() => openTestStore({ folder, migrationsFolder }));
    expect(code).toBe('migration_edited');
    expect(message).toContain('0001_guards');
  });

  it('are not enough for a database that a newer program has written', () => {
    const { store, folder } = openTestStore();
    store.close();
    const sqlite = new Database(join(folder, 'syncline.db'));
    sqlite.exec(`INSERT INTO applied_migrations VALUES (900, '0900_future', 'abc', 0)`);
    sqlite.close();
    const { code, message } = codeOf(() => openTestStore({ folder }));
    expect(code).toBe('schema_newer');
    expect(message).toContain('0900_future');
  });
});

describe('migrate', () => {
  it('rebuilds a table without emptying the tables that refer to it', () => {
    const sqlite = database();
    const version = migrate(sqlite, { folder: migrationsOf([FIRST, REBUILD]), now: START_MS });
    expect(version).toBe(2);
    expect(sqlite.prepare('SELECT count(*) FROM child').pluck().get()).toBe(2);
    expect(sqlite.pragma('foreign_keys', { simple: true })).toBe(1);
  });

  it('copies a database that holds data before it changes it', () => {
    const sqlite = database();
    migrate(sqlite, { folder: migrationsOf([FIRST]), now: START_MS });
    migrate(sqlite, { folder: migrationsOf([FIRST, REBUILD]), now: START_MS });
    const backups = readdirSync(join(sqlite.name, '..', 'backups'));
    expect(backups).toHaveLength(1);
    const copy = new Database(join(sqlite.name, '..', 'backups', backups[0]), { readonly: true });
    expect(copy.prepare('SELECT count(*) FROM child').pluck().get()).toBe(2);
    expect(copy.prepare('SELECT count(*) FROM applied_migrations').pluck().get()).toBe(1);
    copy.close();
  });

  it.each([
    ['a statement that fails', 'CREATE TABLE fresh (id INTEGER); INSERT INTO nowhere VALUES (1);', 'nowhere'],
    ['rows that lose what they refer to', 'DELETE FROM parent WHERE id = 1; -- shrinks: parent', 'child'],
    ['a table that loses rows without saying so', 'DELETE FROM child WHERE id = 10;', 'child had 2 rows and has 1'],
  ])('leaves everything as it was after %s, naming migration and backup', (_case, sql, reason) => {
    const sqlite = database();
    const folder = migrationsOf([FIRST]);
    migrate(sqlite, { folder, now: START_MS });
    const bad = migrationsOf([FIRST, REBUILD, { tag: '0002_bad', sql }]);
    const { code, message } = codeOf(() => migrate(sqlite, { folder: bad, now: START_MS }));
    expect(code).toBe('migration_failed');
    expect(message).toContain('0002_bad');
    expect(message).toContain(reason);
    expect(message).toContain('before-migration-from-1.db');
    expect(codeOf(() => migrate(sqlite, { folder: bad, now: START_MS })).message).toBe(message);
    expect(readdirSync(join(sqlite.name, '..', 'backups'))).toEqual(['before-migration-from-1.db']);
    expect(sqlite.prepare('SELECT id FROM child ORDER BY id').pluck().all()).toEqual([10, 11]);
    expect(sqlite.prepare('SELECT count(*) FROM applied_migrations').pluck().get()).toBe(1);
    expect(sqlite.prepare('PRAGMA table_info(parent)').all()).toHaveLength(1);
    expect(migrate(sqlite, { folder: migrationsOf([FIRST, REBUILD]), now: START_MS + 1 })).toBe(2);
  });

  it('lets a table lose rows when the migration says so', () => {
    const sqlite = database();
    const sql = '-- shrinks: child\nDELETE FROM child WHERE id = 10;';
    migrate(sqlite, { folder: migrationsOf([FIRST, { tag: '0001_less', sql }]), now: START_MS });
    expect(sqlite.prepare('SELECT count(*) FROM child').pluck().get()).toBe(1);
  });

  it('refuses a migration that was made before the one it follows', () => {
    const folder = migrationsOf([
      { ...FIRST, when: 2000 },
      { ...REBUILD, when: 1999 },
    ]);
    const { code, message } = codeOf(() => migrate(database(), { folder, now: START_MS }));
    expect(code).toBe('migration_order');
    expect(message).toContain('0001_rebuild');
  });
});
