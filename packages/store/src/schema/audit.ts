import { index, integer, sqliteTable, text } from 'drizzle-orm/sqlite-core';

/** Append only: triggers of a migration forbid update and delete. */
export const audit = sqliteTable(
  'audit',
  {
    id: integer('id').primaryKey({ autoIncrement: true }),
    atMs: integer('at_ms').notNull(),
    actorKind: text('actor_kind', { enum: ['person', 'token', 'system'] }).notNull(),
    actorId: text('actor_id'),
    actorName: text('actor_name').notNull(),
    action: text('action').notNull(),
    target: text('target').notNull(),
    detail: text('detail').notNull(),
    requestId: text('request_id').notNull(),
  },
  (table) => [index('audit_by_target').on(table.target)],
);
