import { sql } from 'drizzle-orm';
import { check, index, integer, sqliteTable, text, uniqueIndex } from 'drizzle-orm/sqlite-core';

/** The one club that this data folder belongs to; made by the first-run set-up. */
export const club = sqliteTable(
  'club',
  {
    id: integer('id').primaryKey(),
    name: text('name').notNull(),
    createdAtMs: integer('created_at_ms').notNull(),
  },
  (table) => [check('club_is_single', sql`${table.id} = 1`)],
);

export const people = sqliteTable(
  'people',
  {
    id: text('id').primaryKey(),
    name: text('name').notNull(),
    email: text('email').notNull(),
    role: text('role', { enum: ['maintainer', 'reviewer', 'tester'] }).notNull(),
    passwordHash: text('password_hash').notNull(),
    createdAtMs: integer('created_at_ms').notNull(),
  },
  (table) => [uniqueIndex('people_by_email').on(table.email)],
);

export const sessions = sqliteTable(
  'sessions',
  {
    tokenHash: text('token_hash').primaryKey(),
    personId: text('person_id')
      .notNull()
      .references(() => people.id),
    startedAtMs: integer('started_at_ms').notNull(),
    idleExpiresAtMs: integer('idle_expires_at_ms').notNull(),
    absoluteExpiresAtMs: integer('absolute_expires_at_ms').notNull(),
  },
  (table) => [index('sessions_by_person').on(table.personId)],
);

export const invitations = sqliteTable(
  'invitations',
  {
    id: text('id').primaryKey(),
    secretHash: text('secret_hash').notNull(),
    role: text('role', { enum: ['maintainer', 'reviewer', 'tester'] }).notNull(),
    note: text('note').notNull(),
    createdAtMs: integer('created_at_ms').notNull(),
    expiresAtMs: integer('expires_at_ms').notNull(),
    usedAtMs: integer('used_at_ms'),
    usedById: text('used_by_id').references(() => people.id),
  },
  (table) => [uniqueIndex('invitations_by_secret').on(table.secretHash)],
);
