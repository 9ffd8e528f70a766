import type { Actor } from '../actor.js';
import type { Person } from '../people/people.js';

/** What a token may be made for; the server knows which permissions each stands for. */
export type TokenScope = 'upload' | 'read' | 'all';

/** A personal API token without its secret, which nobody can tell any more. */
export interface Token {
  readonly id: string;
  readonly name: string;
  readonly scopes: readonly TokenScope[];
  readonly createdAtMs: number;
  readonly expiresAtMs: number;
  /** To the minute; null before its first use. */
  readonly lastUsedAtMs: number | null;
}

export interface TokenReads {
  /** The token behind a secret with the person that it acts for; undefined when unknown, revoked, expired or of a suspended person. */
  findByHash(tokenHash: string): (Token & { readonly person: Person }) | undefined;
  /** Newest first, the expired ones too. */
  listOf(personId: string): readonly Token[];
  /** Those of everybody, newest first. */
  list(): readonly (Token & { readonly personId: string; readonly personName: string })[];
}

export interface TokenWrites {
  make(input: {
    readonly actor: Actor;
    readonly personId: string;
    readonly name: string;
    readonly scopes: readonly TokenScope[];
    readonly tokenHash: string;
    readonly expiresAtMs: number;
  }): Token;
  /** Notes that it was used now; not audited. */
  touch(tokenId: string): void;
  /** `ownerId` narrows it to the tokens of one person. Throws `not_found`. */
  revoke(input: { readonly actor: Actor; readonly tokenId: string; readonly ownerId?: string }): void;
}
