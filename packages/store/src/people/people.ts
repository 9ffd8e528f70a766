import type { Actor } from '../actor.js';
import type { Page, PageRequest } from '../page.js';

export type PersonRole = 'maintainer' | 'reviewer' | 'tester';

export interface Person {
  readonly id: string;
  readonly name: string;
  /** Lower case. */
  readonly email: string;
  readonly role: PersonRole;
  readonly createdAtMs: number;
}

export interface Club {
  readonly name: string;
  readonly createdAtMs: number;
}

/** A sign-in to be stored. Only the hash of its token is kept. */
export interface NewSession {
  readonly tokenHash: string;
  /** End when not used; moved on by `touch`, never beyond `absoluteExpiresAtMs`. */
  readonly idleExpiresAtMs: number;
  readonly absoluteExpiresAtMs: number;
}

export interface Session extends NewSession {
  readonly person: Person;
  readonly startedAtMs: number;
}

export interface Invitation {
  readonly id: string;
  readonly role: PersonRole;
  readonly note: string;
  readonly expiresAtMs: number;
}

export interface PeopleReads {
  /** Undefined before the first-run set-up. */
  findClub(): Club | undefined;
  find(personId: string): Person | undefined;
  /** For sign-in. The address is compared in lower case. */
  findByEmail(email: string): (Person & { readonly passwordHash: string }) | undefined;
  /** In the order of their names. */
  list(page: PageRequest): Page<Person>;
  /** Undefined when unknown, ended or past either limit. */
  findSession(tokenHash: string): Session | undefined;
  /** Undefined when unknown, used or expired. */
  findInvitation(secretHash: string): Invitation | undefined;
}

export interface NewPerson {
  readonly name: string;
  readonly email: string;
  readonly passwordHash: string;
  readonly session: NewSession;
  readonly requestId: string;
}

export interface PeopleWrites {
  /** Club, first maintainer and its sign-in at once. Throws `setup_done` when a person exists. */
  setUp(input: NewPerson & { readonly clubName: string }): Person;
  /** Also forgets the sessions that have run out. */
  signIn(input: { readonly actor: Actor; readonly personId: string; readonly session: NewSession }): void;
  /** Moves the idle limit on; not audited. */
  touchSession(tokenHash: string, idleExpiresAtMs: number): void;
  signOut(input: { readonly actor: Actor; readonly tokenHash: string }): void;
  invite(input: {
    readonly actor: Actor;
    readonly role: PersonRole;
    readonly note: string;
    readonly secretHash: string;
    readonly expiresAtMs: number;
  }): Invitation;
  /** Throws `invitation_invalid` or `email_taken`. The invitation is used up. */
  acceptInvitation(input: NewPerson & { readonly secretHash: string }): Person;
}
