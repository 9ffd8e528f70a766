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
    role: text('role', { enum: ['maintainer', 'reviewer', 'reader', 'tester'] }).notNull(),
    /** Empty for who comes by an OpenID provider alone. */
    passwordHash: text('password_hash').notNull(),
    createdAtMs: integer('created_at_ms').notNull(),
    /** Null while the person may come in. */
    suspendedAtMs: integer('suspended_at_ms'),
    /** Version of the terms that were agreed to last; 0 for none. */
    consentVersion: integer('consent_version').notNull().default(0),
    consentAtMs: integer('consent_at_ms'),
    /** When everything that told who she is was removed; null for whom it was not. */
    erasedAtMs: integer('erased_at_ms'),
  },
  (table) => [uniqueIndex('people_by_email').on(table.email)],
);

export const sessions = sqliteTable(
  'sessions',
  {
    tokenHash: text('token_hash').primaryKey(),
    /** What a session is called where it is listed and ended; tells nothing of its token. */
    id: text('id').notNull().default(''),
    personId: text('person_id')
      .notNull()
      .references(() => people.id),
    startedAtMs: integer('started_at_ms').notNull(),
    idleExpiresAtMs: integer('idle_expires_at_ms').notNull(),
    absoluteExpiresAtMs: integer('absolute_expires_at_ms').notNull(),
    /** To the minute; null for one that began before it was noted. */
    lastUsedAtMs: integer('last_used_at_ms'),
    /** What the browser says of itself. */
    client: text('client').notNull().default(''),
  },
  (table) => [index('sessions_by_person').on(table.personId), index('sessions_by_id').on(table.id)],
);

export const invitations = sqliteTable(
  'invitations',
  {
    id: text('id').primaryKey(),
    secretHash: text('secret_hash').notNull(),
    role: text('role', { enum: ['maintainer', 'reviewer', 'reader', 'tester'] }).notNull(),
    note: text('note').notNull(),
    createdAtMs: integer('created_at_ms').notNull(),
    expiresAtMs: integer('expires_at_ms').notNull(),
    usedAtMs: integer('used_at_ms'),
    usedById: text('used_by_id').references(() => people.id),
  },
  (table) => [uniqueIndex('invitations_by_secret').on(table.secretHash)],
);
