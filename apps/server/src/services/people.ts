import { type Role, TERMS_VERSION } from '@syncline/contract';
import type { Invitation, NewSession, OpenIdSubject, Page, PageRequest, Person, Session, Store } from '@syncline/store';
import { problem } from '../problem-error.js';
import { type Actor, actorFor } from './actor.js';
import type { Passwords } from './passwords.js';
import { hashSecret, newSecret } from './secrets.js';
import type { SecondFactorService } from './sign-in/second-factor.js';

const DAY_MS = 24 * 3600_000;
/** A sign-in ends when it was not used for this long. */
const IDLE_MS = 7 * DAY_MS;
/** A sign-in ends after this long however it is used. */
const ABSOLUTE_MS = 30 * DAY_MS;
/** The idle limit is moved on at most this often, so that reading does not write. */
const TOUCH_EVERY_MS = 60_000;
const INVITATION_MS = 14 * DAY_MS;
/** What is kept of the words by which a browser names itself. */
const MAX_CLIENT_LENGTH = 300;

/** A sign-in with the token that only its holder gets to see. */
export interface StartedSession {
  readonly token: string;
  readonly session: OwnSession;
}

export interface OwnSession {
  readonly person: Person;
  readonly clubName: string;
  readonly expiresAtMs: number;
  readonly absoluteExpiresAtMs: number;
  readonly needs: { readonly consent: boolean; readonly secondFactor: boolean };
}

/** One request for a sign-in: its id, and what its browser says of itself. */
export interface Visit {
  readonly requestId: string;
  readonly client: string;
}

export interface Credentials {
  readonly name: string;
  readonly email: string;
  readonly password: string;
  /** Version of the terms that were agreed to. */
  readonly termsVersion: number;
}

export type PeopleService = ReturnType<typeof createPeopleService>;

/** Who there is and how they get in: first run, sign-in, invitations. */
export function createPeopleService(
  store: Store,
  { clock, passwords, secondFactor }: { clock: () => number; passwords: Passwords; secondFactor: SecondFactorService },
) {
  const { people } = store.read;
  const clubName = () => people.findClub()?.name ?? '';

  function newSession(client: string): { readonly token: string; readonly session: NewSession } {
    const { secret, secretHash } = newSecret();
    const nowMs = clock();
    const session = {
      tokenHash: secretHash,
      idleExpiresAtMs: nowMs + IDLE_MS,
      absoluteExpiresAtMs: nowMs + ABSOLUTE_MS,
      client: client.slice(0, MAX_CLIENT_LENGTH),
    };
    return { token: secret, session };
  }

  const started = (token: string, person: Person, session: NewSession): StartedSession => ({
    token,
    session: ownSession(person, session),
  });

  async function newPerson({ name, email, password, termsVersion }: Credentials, { requestId, client }: Visit) {
    const { token, session } = newSession(client);
    const passwordHash = await passwords.hash(password);
    return { token, person: { name, email, passwordHash, session, requestId, consentVersion: termsVersion } };
  }

  function ownSession(person: Person, session: Pick<Session, 'idleExpiresAtMs' | 'absoluteExpiresAtMs'>): OwnSession {
    return {
      person,
      clubName: clubName(),
      expiresAtMs: Math.min(session.idleExpiresAtMs, session.absoluteExpiresAtMs),
      absoluteExpiresAtMs: session.absoluteExpiresAtMs,
      needs: {
        consent: person.consentVersion !== TERMS_VERSION,
        secondFactor: secondFactor.isMissing(person),
      },
    };
  }

  /** Begins a sign-in of somebody who has shown who she is. */
  function enter(person: Person, { requestId, client }: Visit): StartedSession {
    const { token, session } = newSession(client);
    store.people.signIn({ actor: actorFor(person, requestId), personId: person.id, session });
    return started(token, person, session);
  }

  return {
    isSetupNeeded: () => people.findClub() === undefined,

    async setUp(input: Credentials & { readonly clubName: string }, visit: Visit): Promise<StartedSession> {
      if (people.findClub()) throw problem('setup.done');
      const { token, person } = await newPerson(input, visit);
      return started(token, store.people.setUp({ ...person, clubName: input.clubName }), person.session);
    },

    /** By password, and by a code of the second factor where there is one. */
    async signIn(
      input: { readonly email: string; readonly password: string; readonly code?: string },
      visit: Visit,
    ): Promise<StartedSession> {
      const found = people.findByEmail(input.email);
      const isRight = await passwords.isRight(found?.passwordHash || undefined, input.password);
      if (!found || !isRight) throw problem('session.badCredentials');
      const { passwordHash: _secret, ...person } = found;
      if (person.suspendedAtMs !== null) throw problem('session.suspended');
      if (person.hasSecondFactor) secondFactor.ask(person, actorFor(person, visit.requestId), input.code);
      return enter(person, visit);
    },

    /** By what an OpenID provider says; who has a second factor enters its code next. */
    enterFromProvider(person: Person, visit: Visit): StartedSession | 'codeNeeded' {
      if (person.suspendedAtMs !== null) throw problem('session.suspended');
      return person.hasSecondFactor ? 'codeNeeded' : enter(person, visit);
    },

    /** Ends a sign-in by an OpenID provider. */
    enterByCode(personId: string, code: string, visit: Visit): StartedSession {
      const person = people.find(personId);
      if (!person) throw problem('session.expired');
      if (person.suspendedAtMs !== null) throw problem('session.suspended');
      secondFactor.ask(person, actorFor(person, visit.requestId), code);
      return enter(person, visit);
    },

    /** The sign-in behind a token, kept alive by being used; undefined when it is unknown or has run out. */
    findSession(token: string): OwnSession | undefined {
      const session = people.findSession(hashSecret(token));
      if (!session) return undefined;
      const idleExpiresAtMs = Math.min(clock() + IDLE_MS, session.absoluteExpiresAtMs);
      if (idleExpiresAtMs - session.idleExpiresAtMs > TOUCH_EVERY_MS) {
        store.people.touchSession(session.tokenHash, idleExpiresAtMs);
        return ownSession(session.person, { ...session, idleExpiresAtMs });
      }
      return ownSession(session.person, session);
    },

    signOut: (actor: Actor, token: string) => store.people.signOut({ actor, tokenHash: hashSecret(token) }),

    /** The sign-ins of the caller; the one that asks is marked. */
    listSessions(actor: Actor, token: string) {
      const tokenHash = hashSecret(token);
      return people
        .listSessions(actor.id)
        .map(({ tokenHash: own, ...session }) => ({ ...session, isCurrent: own === tokenHash }));
    },

    endSession: (actor: Actor, sessionId: string) => store.people.endSession({ actor, personId: actor.id, sessionId }),

    /** Asks for the old password; every other sign-in ends. */
    async changePassword(
      actor: Actor,
      input: { readonly password: string; readonly newPassword: string; readonly sessionToken: string },
    ): Promise<void> {
      const isRight = await passwords.isRight(store.read.credentials.findPasswordHash(actor.id), input.password);
      if (!isRight) throw problem('password.wrong');
      const passwordHash = await passwords.hash(input.newPassword);
      const keepTokenHash = hashSecret(input.sessionToken);
      store.credentials.changePassword({ actor, personId: actor.id, passwordHash, keepTokenHash });
    },

    consent: (actor: Actor, version: number) => store.people.consent({ actor, personId: actor.id, version }),

    list: (page: PageRequest): Page<Person> => people.list(page),

    /** The path holds the secret; it is not kept and cannot be shown again. */
    invite(
      actor: Actor,
      input: { readonly role: Role; readonly note: string },
    ): Invitation & { readonly path: string } {
      const { secret, secretHash } = newSecret();
      const expiresAtMs = clock() + INVITATION_MS;
      return { ...store.people.invite({ actor, ...input, secretHash, expiresAtMs }), path: `/join/${secret}` };
    },

    getInvitation(secret: string): Invitation & { readonly clubName: string } {
      const invitation = people.findInvitation(hashSecret(secret));
      if (!invitation) throw problem('invitation.invalid');
      return { ...invitation, clubName: clubName() };
    },

    async acceptInvitation(secret: string, input: Credentials, visit: Visit): Promise<StartedSession> {
      const secretHash = hashSecret(secret);
      if (!people.findInvitation(secretHash)) throw problem('invitation.invalid');
      const { token, person } = await newPerson(input, visit);
      return started(token, store.people.acceptInvitation({ ...person, secretHash }), person.session);
    },

    /** Accepts an invitation for somebody whom an OpenID provider vouches for; she has no password here. */
    acceptFromProvider(
      secret: string,
      person: {
        readonly name: string;
        readonly email: string;
        readonly openid: OpenIdSubject;
        readonly termsVersion: number;
      },
      { requestId, client }: Visit,
    ): StartedSession {
      const { termsVersion: consentVersion, ...who } = person;
      const { token, session } = newSession(client);
      const secretHash = hashSecret(secret);
      const input = { ...who, passwordHash: '', session, requestId, consentVersion, secretHash };
      return started(token, store.people.acceptInvitation(input), session);
    },
  };
}
