import { index, integer, sqliteTable, text } from 'drizzle-orm/sqlite-core';

/** Addresses that other programs are told at. */
export const hooks = sqliteTable('hooks', {
  id: text('id').primaryKey(),
  url: text('url').notNull(),
  /** Signs what is sent; it cannot be a hash, since it signs. */
  secret: text('secret').notNull(),
  createdByName: text('created_by_name').notNull(),
  createdAtMs: integer('created_at_ms').notNull(),
  /** Null while it is told. */
  removedAtMs: integer('removed_at_ms'),
});

/** Messages on their way out. A row is written with what it tells of, and sent afterwards. */
export const notices = sqliteTable(
  'notices',
  {
    id: text('id').primaryKey(),
    channel: text('channel', { enum: ['mail', 'hook'] }).notNull(),
    /** E-mail address, or id of the hook. */
    recipient: text('recipient').notNull(),
    /** What it is about, e.g. `release:0198…`. */
    about: text('about').notNull(),
    subject: text('subject').notNull(),
    body: text('body').notNull(),
    state: text('state', { enum: ['waiting', 'sent', 'failed'] }).notNull(),
    attempts: integer('attempts').notNull(),
    nextAtMs: integer('next_at_ms').notNull(),
    lastError: text('last_error').notNull(),
    createdAtMs: integer('created_at_ms').notNull(),
    sentAtMs: integer('sent_at_ms'),
  },
  (table) => [index('notices_by_due').on(table.state, table.nextAtMs), index('notices_by_about').on(table.about)],
);
