import { closeSync, fsyncSync, mkdirSync, openSync, renameSync, rmSync, statSync } from 'node:fs';
import { dirname, join } from 'node:path';
import type Database from 'better-sqlite3';
import { StoreError } from '../store-error.js';
import { freeBytes } from './folder-warning.js';
import { type MigrationFile, readMigrationFiles } from './migration-files.js';
import { openDatabase } from './open-database.js';

interface AppliedMigration {
  readonly number: number;
  readonly tag: string;
  readonly hash: string;
}

/**
 * Brings the schema up to that of the migrations folder and returns its version (the number of migrations). All that
 * is pending happens in one transaction with foreign keys off outside of it, so that rebuilding a table cannot empty
 * the tables that refer to it; before it a database with data is copied and the copy is checked. Safe to repeat.
 * Throws `schema_newer`, `migration_edited`, `migration_order`, `storage_full` or `migration_failed`; nothing is then
 * changed.
 */
export function migrate(sqlite: Database.Database, options: { folder: string; now: number }): number {
  const files = readMigrationFiles(options.folder);
  const applied = readApplied(sqlite);
  checkApplied(applied, files);
  const pending = files.slice(applied.length);
  if (pending.length > 0) {
    const backup = applied.length > 0 ? backUp(sqlite, applied.length) : null;
    applyAll(sqlite, pending, applied.length, { backup, now: options.now });
  }
  return files.length;
}

/** The version of a database's schema, checked against the migrations that the code knows. For readers. */
export function checkSchema(sqlite: Database.Database, folder: string): number {
  const { applied, known } = schemaOf(sqlite, folder);
  if (applied < known) {
    throw new StoreError('schema_missing', `The database has schema ${applied} of ${known}: start the server first.`);
  }
  return known;
}

/** How many migrations a database has, and how many the code knows. Throws `schema_newer` and `migration_edited`. */
export function schemaOf(
  sqlite: Database.Database,
  folder: string,
): { readonly applied: number; readonly known: number } {
  const files = readMigrationFiles(folder);
  const applied = readApplied(sqlite);
  checkApplied(applied, files);
  return { applied: applied.length, known: files.length };
}

function readApplied(sqlite: Database.Database): AppliedMigration[] {
  const hasTable = sqlite.prepare(`SELECT 1 FROM sqlite_schema WHERE name = 'applied_migrations'`).get() !== undefined;
  if (!hasTable) return [];
  return sqlite.prepare<[], AppliedMigration>('SELECT number, tag, hash FROM applied_migrations ORDER BY number').all();
}

function checkApplied(applied: readonly AppliedMigration[], files: readonly MigrationFile[]): void {
  if (applied.length > files.length) {
    throw new StoreError(
      'schema_newer',
      `The database has schema ${applied.length} (${applied.at(-1)?.tag}), this program knows ${files.length}. ` +
        'Use the program that wrote it, or a newer one.',
    );
  }
  applied.forEach((row, number) => {
    const file = files[number];
    if (row.tag !== file.tag || row.hash !== file.hash) {
      throw new StoreError(
        'migration_edited',
        `Migration ${file.tag} was changed after it was applied (then ${row.tag}, ${row.hash.slice(0, 12)}; ` +
          `now ${file.hash.slice(0, 12)}). Restore the file; make changes in a new migration.`,
      );
    }
  });
}

/** One copy for each schema version, so that a start that fails again and again does not fill the disk. */
function backUp(sqlite: Database.Database, version: number): string {
  const folder = join(dirname(sqlite.name), 'backups');
  mkdirSync(folder, { recursive: true });
  const neededBytes = 2 * statSync(sqlite.name).size;
  if (freeBytes(folder) < neededBytes) {
    throw new StoreError('storage_full', `A migration needs ${neededBytes} bytes free in ${folder} for its backup.`);
  }
  const path = join(folder, `before-migration-from-${version}.db`);
  const unfinished = `${path}.part`;
  rmSync(unfinished, { force: true });
  sqlite.prepare('VACUUM INTO ?').run(unfinished);
  syncFile(unfinished);
  const copy = openDatabase(unfinished, { readonly: true });
  const verdict = copy.pragma('integrity_check', { simple: true });
  copy.close();
  if (verdict !== 'ok') throw new StoreError('migration_failed', `The backup ${path} is damaged: ${String(verdict)}.`);
  renameSync(unfinished, path);
  return path;
}

function syncFile(path: string): void {
  const file = openSync(path, 'r+');
  fsyncSync(file);
  closeSync(file);
}

function applyAll(
  sqlite: Database.Database,
  pending: readonly MigrationFile[],
  appliedCount: number,
  { backup, now }: { backup: string | null; now: number },
): void {
  let current = pending[0];
  sqlite.pragma('foreign_keys = OFF');
  try {
    sqlite
      .transaction(() => {
        sqlite.exec(
          'CREATE TABLE IF NOT EXISTS applied_migrations' +
            ' (number INTEGER PRIMARY KEY, tag TEXT NOT NULL, hash TEXT NOT NULL, applied_at_ms INTEGER NOT NULL)',
        );
        pending.forEach((file, position) => {
          current = file;
          applyOne(sqlite, file, { number: appliedCount + position, now });
        });
      })
      .immediate();
  } catch (cause) {
    const kept = backup ? `The database is as it was; its copy is ${backup}.` : 'The database is as it was.';
    const reason = cause instanceof Error ? cause.message : String(cause);
    throw new StoreError('migration_failed', `Migration ${current.tag} failed: ${reason} ${kept}`, { cause });
  } finally {
    sqlite.pragma('foreign_keys = ON');
  }
}

function applyOne(
  sqlite: Database.Database,
  file: MigrationFile,
  { number, now }: { number: number; now: number },
): void {
  const before = countRows(sqlite);
  sqlite.exec(file.sql);
  const broken = sqlite.pragma('foreign_key_check') as readonly { readonly table: string }[];
  if (broken.length > 0) throw new Error(`${broken.length} rows lost what they refer to, first in ${broken[0].table}.`);
  const after = countRows(sqlite);
  for (const [table, count] of before) {
    const left = after.get(table) ?? 0;
    if (left < count && !file.shrinks.includes(table)) throw new Error(`${table} had ${count} rows and has ${left}.`);
  }
  sqlite.prepare('INSERT INTO applied_migrations VALUES (?, ?, ?, ?)').run(number, file.tag, file.hash, now);
}

function countRows(sqlite: Database.Database): ReadonlyMap<string, number> {
  const tables = sqlite
    .prepare<[], { name: string }>(`SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'`)
    .all();
  return new Map(
    tables.map(({ name }) => [
      name,
      sqlite.prepare<[], { count: number }>(`SELECT count(*) AS count FROM "${name}"`).get()?.count ?? 0,
    ]),
  );
}
