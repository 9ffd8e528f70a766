import type { Role } from '@syncline/contract';
import type { Person, Scope, Actor as StoreActor } from '@syncline/store';

/** A signed-in person and the request that the person acts through. Also an actor of the store. */
export interface Actor extends StoreActor {
  readonly kind: 'person';
  readonly id: string;
  readonly role: Role;
}

/** The actor that a person is within one request. */
export function actorFor(person: Person, requestId: string): Actor {
  return { kind: 'person', id: person.id, name: person.name, role: person.role, requestId };
}

/** What an actor may see: testers their own cars, everyone else all. */
export function scopeOf(actor: Actor): Scope {
  return actor.role === 'tester' ? { ownerId: actor.id } : {};
}
