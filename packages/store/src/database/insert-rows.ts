import { getTableColumns, getTableName, type InferInsertModel } from 'drizzle-orm';
import type { SQLiteTable } from 'drizzle-orm/sqlite-core';
import type { Db } from './context.js';

/**
 * Inserts many rows through one prepared statement, row by row. The query builder would build and bind a statement anew
 * for each call, which for wide rows costs several times the insertion itself; and a statement of several rows keeps a
 * copy of every page that it would have to restore, more than it writes. Part of a larger transaction.
 */
export function insertRows<T extends SQLiteTable>(db: Db, table: T, rows: Iterable<InferInsertModel<T>>): void {
  const columns = Object.entries(getTableColumns(table));
  const names = columns.map(([, column]) => `"${column.name}"`).join(', ');
  const places = columns.map(() => '?').join(', ');
  const insert = db.$client.prepare(`INSERT INTO "${getTableName(table)}" (${names}) VALUES (${places})`);
  for (const row of rows as Iterable<Record<string, unknown>>) {
    insert.run(columns.map(([key, column]) => (row[key] == null ? null : column.mapToDriverValue(row[key]))));
  }
}
