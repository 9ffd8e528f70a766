import { index, integer, primaryKey, sqliteTable, text, uniqueIndex } from 'drizzle-orm/sqlite-core';
import { people } from './people.js';

/** One authenticator app for each person at most. Its secret must be readable to check a code. */
export const secondFactors = sqliteTable('second_factors', {
  personId: text('person_id')
    .primaryKey()
    .references(() => people.id),
  /** Base32. */
  secret: text('secret').notNull(),
  createdAtMs: integer('created_at_ms').notNull(),
  /** Null until a first code proved that the app has the secret. */
  confirmedAtMs: integer('confirmed_at_ms'),
  /** Time step of the code that was taken last: none is taken twice, nor an older one. */
  lastStep: integer('last_step'),
});

/** Codes for when the app is lost; good once each. */
export const recoveryCodes = sqliteTable(
  'recovery_codes',
  {
    codeHash: text('code_hash').primaryKey(),
    personId: text('person_id')
      .notNull()
      .references(() => people.id),
    usedAtMs: integer('used_at_ms'),
  },
  (table) => [index('recovery_codes_by_person').on(table.personId)],
);

/** Who a subject of an OpenID provider is here. */
export const openidLinks = sqliteTable(
  'openid_links',
  {
    issuer: text('issuer').notNull(),
    subject: text('subject').notNull(),
    personId: text('person_id')
      .notNull()
      .references(() => people.id),
    linkedAtMs: integer('linked_at_ms').notNull(),
  },
  (table) => [
    primaryKey({ columns: [table.issuer, table.subject] }),
    index('openid_links_by_person').on(table.personId),
  ],
);

/** Links by which a maintainer lets a person choose a new password; good once. */
export const passwordResets = sqliteTable(
  'password_resets',
  {
    secretHash: text('secret_hash').primaryKey(),
    personId: text('person_id')
      .notNull()
      .references(() => people.id),
    createdAtMs: integer('created_at_ms').notNull(),
    expiresAtMs: integer('expires_at_ms').notNull(),
    usedAtMs: integer('used_at_ms'),
  },
  (table) => [uniqueIndex('password_resets_by_person').on(table.personId)],
);
