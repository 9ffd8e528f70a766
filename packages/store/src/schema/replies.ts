import { index, integer, primaryKey, sqliteTable, text } from 'drizzle-orm/sqlite-core';
import { people } from './people.js';

/** Answers to writing requests by their idempotency key, kept for a day. */
export const replies = sqliteTable(
  'replies',
  {
    personId: text('person_id')
      .notNull()
      .references(() => people.id),
    key: text('key').notNull(),
    requestHash: text('request_hash').notNull(),
    status: integer('status').notNull(),
    body: text('body').notNull(),
    keptAtMs: integer('kept_at_ms').notNull(),
  },
  (table) => [primaryKey({ columns: [table.personId, table.key] }), index('replies_by_age').on(table.keptAtMs)],
);
