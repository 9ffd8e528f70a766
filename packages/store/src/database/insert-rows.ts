import { getTableColumns, getTableName, type InferInsertModel } from 'drizzle-orm';
import type { SQLiteTable } from 'drizzle-orm/sqlite-core';
import type { Db } from './context.js';

/**
 * Inserts many rows through one prepared statement. The query builder would build and bind a statement anew for each
 * call, which for wide rows costs several times the insertion itself. Part of a larger transaction.
 */
export function insertRows<T extends SQLiteTable>(db: Db, table: T, rows: readonly InferInsertModel<T>[]): void {
  const columns = Object.entries(getTableColumns(table));
  const names = columns.map(([, column]) => `"${column.name}"`);
  const statement = db.$client.prepare(
    `INSERT INTO "${getTableName(table)}" (${names.join(', ')}) VALUES (${names.map(() => '?').join(', ')})`,
  );
  for (const row of rows as readonly Record<string, unknown>[]) {
    statement.run(columns.map(([key, column]) => (row[key] == null ? null : column.mapToDriverValue(row[key]))));
  }
}
