import { index, integer, sqliteTable, text, uniqueIndex } from 'drizzle-orm/sqlite-core';
import type { TokenScope } from '../tokens/tokens.js';
import { people } from './people.js';

/** Personal API tokens. Only the hash of the secret is kept; a token that is revoked is removed. */
export const tokens = sqliteTable(
  'tokens',
  {
    id: text('id').primaryKey(),
    personId: text('person_id')
      .notNull()
      .references(() => people.id),
    name: text('name').notNull(),
    scopes: text('scopes', { mode: 'json' }).$type<readonly TokenScope[]>().notNull(),
    tokenHash: text('token_hash').notNull(),
    createdAtMs: integer('created_at_ms').notNull(),
    expiresAtMs: integer('expires_at_ms').notNull(),
    lastUsedAtMs: integer('last_used_at_ms'),
  },
  (table) => [uniqueIndex('tokens_by_hash').on(table.tokenHash), index('tokens_by_person').on(table.personId)],
);
