import type * as Contract from '@syncline/contract';
import type { Token } from '@syncline/store';
import { toInstant, toInstantOrNull } from '../format.js';

export function toToken({ id, name, scopes, createdAtMs, expiresAtMs, lastUsedAtMs }: Token): Contract.Token {
  return {
    id,
    name,
    scopes: [...scopes],
    createdAt: toInstant(createdAtMs),
    expiresAt: toInstant(expiresAtMs),
    lastUsedAt: toInstantOrNull(lastUsedAtMs),
  };
}

export function toClubToken(
  token: Token & { readonly personId: string; readonly personName: string },
): Contract.ClubToken {
  return { ...toToken(token), personId: token.personId, personName: token.personName };
}
