import { index, integer, sqliteTable, text } from 'drizzle-orm/sqlite-core';
import type { AuditState } from '../audit/audit.js';

/** Append only: triggers of a migration forbid update and delete. Each entry's hash covers it and the hash before it. */
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
    /** What changed, as it was and as it became: fields that are no secret, cut to a bound. */
    before: text('before', { mode: 'json' }).$type<AuditState>(),
    after: text('after', { mode: 'json' }).$type<AuditState>(),
    /** Empty only between the migration that brought it and the opening that fills it. */
    hash: text('hash').notNull().default(''),
  },
  (table) => [
    index('audit_by_target').on(table.target),
    index('audit_by_actor').on(table.actorId),
    index('audit_by_action').on(table.action),
    index('audit_by_time').on(table.atMs),
  ],
);
