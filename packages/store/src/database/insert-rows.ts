import { getTableColumns, getTableName, type InferInsertModel } from 'drizzle-orm';
import type { SQLiteTable } from 'drizzle-orm/sqlite-core';
import type { Db } from './context.js';

/** Values that one statement takes: beyond, its parsing costs what its execution saves. */
const VALUES_AT_ONCE = 3000;

/**
 * Inserts many rows through few prepared statements. The query builder would build and bind a statement anew for each
 * call, which for wide rows costs several times the insertion itself; and each statement on a table with triggers keeps
 * what it would have to undo, which costs as much again. Part of a larger transaction.
 */
export function insertRows<T extends SQLiteTable>(db: Db, table: T, rows: Iterable<InferInsertModel<T>>): void {
  const columns = Object.entries(getTableColumns(table));
  const names = columns.map(([, column]) => `"${column.name}"`).join(', ');
  const places = `(${columns.map(() => '?').join(', ')})`;
  const prepare = (count: number) =>
    db.$client.prepare(
      `INSERT INTO "${getTableName(table)}" (${names}) VALUES ${Array.from({ length: count }, () => places).join(', ')}`,
    );
  const atOnce = Math.max(1, Math.floor(VALUES_AT_ONCE / columns.length)) * columns.length;
  let full: ReturnType<typeof prepare> | undefined;
  let values: unknown[] = [];
  for (const row of rows as Iterable<Record<string, unknown>>) {
    for (const [key, column] of columns) values.push(row[key] == null ? null : column.mapToDriverValue(row[key]));
    if (values.length < atOnce) continue;
    full ??= prepare(atOnce / columns.length);
    full.run(values);
    values = [];
  }
  if (values.length > 0) prepare(values.length / columns.length).run(values);
}
