import { and, desc, eq, getTableColumns, gt, isNull } from 'drizzle-orm';
import type { Db } from '../database/context.js';
import { personColumns } from '../people/person-columns.js';
import { people } from '../schema/people.js';
import { tokens } from '../schema/tokens.js';
import type { TokenReads } from './tokens.js';

const { tokenHash: _tokenHash, personId: _personId, ...tokenColumns } = getTableColumns(tokens);

export function tokenReads(db: Db, clock: () => number): TokenReads {
  return {
    findByHash(tokenHash) {
      const row = db
        .select({ token: tokenColumns, person: personColumns })
        .from(tokens)
        .innerJoin(people, eq(people.id, tokens.personId))
        .where(and(eq(tokens.tokenHash, tokenHash), gt(tokens.expiresAtMs, clock()), isNull(people.suspendedAtMs)))
        .get();
      return row && { ...row.token, person: row.person };
    },

    listOf: (personId) =>
      db.select(tokenColumns).from(tokens).where(eq(tokens.personId, personId)).orderBy(desc(tokens.id)).all(),

    list: () =>
      db
        .select({ ...tokenColumns, personId: tokens.personId, personName: people.name })
        .from(tokens)
        .innerJoin(people, eq(people.id, tokens.personId))
        .orderBy(desc(tokens.id))
        .all(),
  };
}
