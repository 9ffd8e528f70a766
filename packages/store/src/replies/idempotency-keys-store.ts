import { and, eq, lt } from 'drizzle-orm';
import type { WriteContext } from '../database/context.js';
import { replies } from '../schema/replies.js';
import { StoreError } from '../store-error.js';
import type { IdempotencyKeys } from './idempotency-keys.js';

/** How long a repeated request is recognised (ms). */
const KEEP_MS = 24 * 60 * 60 * 1000;

export function idempotencyKeys({ db, clock }: WriteContext): IdempotencyKeys {
  return {
    find(personId, key) {
      const row = db
        .select()
        .from(replies)
        .where(and(eq(replies.personId, personId), eq(replies.key, key)))
        .get();
      if (!row) return undefined;
      const { keptAtMs: _keptAtMs, ...reply } = row;
      return reply;
    },

    keep(reply) {
      const { changes } = db
        .insert(replies)
        .values({ ...reply, keptAtMs: clock() })
        .onConflictDoNothing()
        .run();
      if (changes === 0) throw new StoreError('exists', `A reply is kept already under the key '${reply.key}'.`);
    },

    sweep: () =>
      db
        .delete(replies)
        .where(lt(replies.keptAtMs, clock() - KEEP_MS))
        .run().changes,
  };
}
