import type { Role, TokenScope } from '@syncline/contract';
import type { Person, Scope, Actor as StoreActor, Token } from '@syncline/store';

/** A person, signed in or by a token, and the request that the person acts through. Also an actor of the store. */
export interface Actor extends StoreActor {
  readonly kind: 'person' | 'token';
  readonly id: string;
  readonly role: Role;
  /** What a token was made for; null for a sign-in, which may do all that the role may. */
  readonly scopes: readonly TokenScope[] | null;
  /** Version of the terms that the person agreed to last. */
  readonly consentVersion: number;
  readonly hasSecondFactor: boolean;
}

/** The actor that a person is within one request. */
export function actorFor(person: Person, requestId: string): Actor {
  return { ...standingOf(person), kind: 'person', name: person.name, scopes: null, requestId };
}

/** The actor that a person is through one of her tokens. */
export function actorForToken(token: Token & { readonly person: Person }, requestId: string): Actor {
  const { person, scopes } = token;
  const name = `${person.name} (token “${token.name}”)`;
  return { ...standingOf(person), kind: 'token', name, scopes, requestId };
}

function standingOf({ id, role, consentVersion, hasSecondFactor }: Person) {
  return { id, role, consentVersion, hasSecondFactor };
}

/** What an actor may see: testers their own cars, everyone else all. */
export function scopeOf(actor: Actor): Scope {
  return actor.role === 'tester' ? { ownerId: actor.id } : {};
}
