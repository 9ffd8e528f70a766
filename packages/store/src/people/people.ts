import type { Actor } from '../actor.js';
import type { Page, PageRequest } from '../page.js';
import type { ErasedPerson } from './erase-person.js';

export type PersonRole = 'maintainer' | 'reviewer' | 'reader' | 'tester';

export interface Person {
  readonly id: string;
  readonly name: string;
  /** Lower case. */
  readonly email: string;
  readonly role: PersonRole;
  readonly createdAtMs: number;
  /** Null while the person may come in. */
  readonly suspendedAtMs: number | null;
  /** Version of the terms that were agreed to last; 0 for none. */
  readonly consentVersion: number;
  readonly consentAtMs: number | null;
  readonly hasSecondFactor: boolean;
  /** When everything that told who she is was removed; null for whom it was not. */
  readonly erasedAtMs: number | null;
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
  /** What the browser says of itself. */
  readonly client?: string;
}

export interface Session extends Omit<NewSession, 'client'> {
  readonly id: string;
  readonly person: Person;
  readonly startedAtMs: number;
  /** To the minute; null for one that began before it was noted. */
  readonly lastUsedAtMs: number | null;
  readonly client: string;
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
  /** Undefined when unknown, ended, past either limit, or of a person who is suspended. */
  findSession(tokenHash: string): Session | undefined;
  /** Those that have not run out, newest first. */
  listSessions(personId: string): readonly Omit<Session, 'person'>[];
  /** Undefined when unknown, used or expired. */
  findInvitation(secretHash: string): Invitation | undefined;
}

export interface NewPerson {
  readonly name: string;
  readonly email: string;
  readonly passwordHash: string;
  readonly session: NewSession;
  readonly requestId: string;
  /** Version of the terms that the person agreed to; default none. */
  readonly consentVersion?: number;
}

export interface PeopleWrites {
  /** Club, first maintainer and its sign-in at once. Throws `setup_done` when a person exists. */
  setUp(input: NewPerson & { readonly clubName: string }): Person;
  /** Also forgets the sessions that have run out. */
  signIn(input: { readonly actor: Actor; readonly personId: string; readonly session: NewSession }): void;
  /** Moves the idle limit on and notes the use; not audited, and left out while the disk cannot be written. */
  touchSession(tokenHash: string, idleExpiresAtMs: number): void;
  signOut(input: { readonly actor: Actor; readonly tokenHash: string }): void;
  /** Ends one session of a person. Throws `not_found` for one of somebody else. */
  endSession(input: { readonly actor: Actor; readonly personId: string; readonly sessionId: string }): void;
  /** Ends every session of a person, and says how many there were. Throws `not_found`. */
  endSessions(input: { readonly actor: Actor; readonly personId: string }): number;
  /** Keeps a person out or lets her in again; keeping out ends her sessions. Throws `not_found`. */
  setSuspended(input: {
    readonly actor: Actor;
    readonly personId: string;
    readonly isSuspended: boolean;
    readonly reason: string;
  }): Person;
  /**
   * Removes who a person is, for good: her account, the names and hours of her cars' drives, their notes, and the rows
   * that point at originals and signals, whose files the caller removes. Shifts and measures stay under ids that say
   * nothing of anybody. Throws `not_found`, `person_not_erasable` and `units_held`.
   */
  erase(input: { readonly actor: Actor; readonly personId: string }): ErasedPerson;
  /** Notes that the person agreed to this version of the terms. */
  consent(input: { readonly actor: Actor; readonly personId: string; readonly version: number }): void;
  invite(input: {
    readonly actor: Actor;
    readonly role: PersonRole;
    readonly note: string;
    readonly secretHash: string;
    readonly expiresAtMs: number;
  }): Invitation;
  /** Throws `invitation_invalid` or `email_taken`. The invitation is used up. */
  acceptInvitation(
    input: NewPerson & {
      readonly secretHash: string;
      /** Who the person is at an OpenID provider, where she came in by one. */
      readonly openid?: { readonly issuer: string; readonly subject: string };
    },
  ): Person;
}
