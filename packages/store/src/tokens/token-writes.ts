import { and, eq } from 'drizzle-orm';
import { appendAudit } from '../audit/append-audit.js';
import type { WriteContext } from '../database/context.js';
import { tokens } from '../schema/tokens.js';
import { StoreError } from '../store-error.js';
import type { TokenWrites } from './tokens.js';

export function tokenWrites(context: WriteContext): TokenWrites {
  const { db, clock, ids, transaction } = context;
  return {
    make: ({ actor, personId, tokenHash, ...input }) =>
      transaction(() => {
        const token = { id: ids(), ...input, createdAtMs: clock(), lastUsedAtMs: null };
        db.insert(tokens)
          .values({ ...token, personId, tokenHash })
          .run();
        appendAudit(context, {
          actor,
          action: 'token.make',
          target: `token:${token.id}`,
          detail: `${token.name}, for ${token.scopes.join(' and ')}, until ${new Date(token.expiresAtMs).toISOString()}`,
        });
        return token;
      }),

    touch(tokenId) {
      db.update(tokens).set({ lastUsedAtMs: clock() }).where(eq(tokens.id, tokenId)).run();
    },

    revoke: ({ actor, tokenId, ownerId }) =>
      transaction(() => {
        const isMeant = and(eq(tokens.id, tokenId), ownerId === undefined ? undefined : eq(tokens.personId, ownerId));
        const token = db.select().from(tokens).where(isMeant).get();
        if (!token) throw new StoreError('not_found', `There is no token '${tokenId}'.`);
        db.delete(tokens).where(eq(tokens.id, tokenId)).run();
        appendAudit(context, {
          actor,
          action: 'token.revoke',
          target: `token:${tokenId}`,
          detail: `${token.name} of person:${token.personId}`,
        });
      }),
  };
}
