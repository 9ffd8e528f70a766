import type { TokenScope } from '@syncline/contract';
import type { Store, Token } from '@syncline/store';
import { problem } from '../problem-error.js';
import { type Actor, actorForToken } from './actor.js';
import { hashSecret, newSecret } from './secrets.js';

const DAY_MS = 24 * 3600_000;
/** Use is noted at most this often, so that reading does not write. */
const TOUCH_EVERY_MS = 60_000;
/** Tokens that one person may have at once. */
const MAX_TOKENS = 50;
/** Tells what a found text is, to people and to programs that look for leaked secrets. */
const PREFIX = 'syncline_';

export type TokenService = ReturnType<typeof createTokenService>;

/** Personal API tokens: how programs act for a person. */
export function createTokenService(store: Store, clock: () => number) {
  const { tokens } = store.read;
  return {
    listOwn: (actor: Actor) => tokens.listOf(actor.id),

    listAll: () => tokens.list(),

    /** The secret is not kept and cannot be shown again. */
    make(
      actor: Actor,
      input: { readonly name: string; readonly scopes: readonly TokenScope[]; readonly days: number },
    ): Token & { readonly secret: string } {
      if (tokens.listOf(actor.id).length >= MAX_TOKENS) {
        throw problem('token.tooMany', { detail: `You have ${MAX_TOKENS} tokens.` });
      }
      const secret = `${PREFIX}${newSecret().secret}`;
      const token = store.tokens.make({
        actor,
        personId: actor.id,
        name: input.name,
        scopes: input.scopes,
        tokenHash: hashSecret(secret),
        expiresAtMs: clock() + input.days * DAY_MS,
      });
      return { ...token, secret };
    },

    revokeOwn: (actor: Actor, tokenId: string) => store.tokens.revoke({ actor, tokenId, ownerId: actor.id }),

    revoke: (actor: Actor, tokenId: string) => store.tokens.revoke({ actor, tokenId }),

    /**
     * The person that a secret acts for; undefined when it is unknown, revoked or expired. Found by its hash, so that no
     * comparison takes longer the more of a guess is right.
     */
    findActor(secret: string, requestId: string): Actor | undefined {
      const token = tokens.findByHash(hashSecret(secret));
      if (!token) return undefined;
      if (clock() - (token.lastUsedAtMs ?? 0) > TOUCH_EVERY_MS) store.tokens.touch(token.id);
      return actorForToken(token, requestId);
    },
  };
}
