import type { Role } from '@syncline/contract';
import type { Invitation, NewSession, Page, PageRequest, Person, Session, Store } from '@syncline/store';
import { problem } from '../problem-error.js';
import { type Actor, actorFor } from './actor.js';
import type { Passwords } from './passwords.js';
import { hashSecret, newSecret } from './secrets.js';

const DAY_MS = 24 * 3600_000;
/** A sign-in ends when it was not used for this long. */
const IDLE_MS = 7 * DAY_MS;
/** A sign-in ends after this long however it is used. */
const ABSOLUTE_MS = 30 * DAY_MS;
/** The idle limit is moved on at most this often, so that reading does not write. */
const TOUCH_EVERY_MS = 60_000;
const INVITATION_MS = 14 * DAY_MS;

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
}

export interface Credentials {
  readonly name: string;
  readonly email: string;
  readonly password: string;
}

export type PeopleService = ReturnType<typeof createPeopleService>;

/** Who there is and how they get in: first run, sign-in, invitations. */
export function createPeopleService(store: Store, clock: () => number, passwords: Passwords) {
  const { people } = store.read;
  const clubName = () => people.findClub()?.name ?? '';

  function newSession(): { readonly token: string; readonly session: NewSession } {
    const { secret, secretHash } = newSecret();
    const nowMs = clock();
    const session = {
      tokenHash: secretHash,
      idleExpiresAtMs: nowMs + IDLE_MS,
      absoluteExpiresAtMs: nowMs + ABSOLUTE_MS,
    };
    return { token: secret, session };
  }

  const started = (token: string, person: Person, session: NewSession): StartedSession => ({
    token,
    session: ownSession(person, clubName(), session),
  });

  async function newPerson(credentials: Credentials, requestId: string) {
    const { token, session } = newSession();
    const passwordHash = await passwords.hash(credentials.password);
    return { token, person: { name: credentials.name, email: credentials.email, passwordHash, session, requestId } };
  }

  return {
    isSetupNeeded: () => people.findClub() === undefined,

    async setUp(input: Credentials & { readonly clubName: string }, requestId: string): Promise<StartedSession> {
      if (people.findClub()) throw problem('setup.done');
      const { token, person } = await newPerson(input, requestId);
      return started(token, store.people.setUp({ ...person, clubName: input.clubName }), person.session);
    },

    async signIn(input: { readonly email: string; readonly password: string }, requestId: string) {
      const found = people.findByEmail(input.email);
      const isRight = await passwords.isRight(found?.passwordHash, input.password);
      if (!found || !isRight) throw problem('session.badCredentials');
      const { token, session } = newSession();
      store.people.signIn({ actor: actorFor(found, requestId), personId: found.id, session });
      return started(token, found, session);
    },

    /** The sign-in behind a token, kept alive by being used; undefined when it is unknown or has run out. */
    findSession(token: string): OwnSession | undefined {
      const session = people.findSession(hashSecret(token));
      if (!session) return undefined;
      const idleExpiresAtMs = Math.min(clock() + IDLE_MS, session.absoluteExpiresAtMs);
      if (idleExpiresAtMs - session.idleExpiresAtMs > TOUCH_EVERY_MS) {
        store.people.touchSession(session.tokenHash, idleExpiresAtMs);
        return ownSession(session.person, clubName(), { ...session, idleExpiresAtMs });
      }
      return ownSession(session.person, clubName(), session);
    },

    signOut: (actor: Actor, token: string) => store.people.signOut({ actor, tokenHash: hashSecret(token) }),

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

    async acceptInvitation(secret: string, input: Credentials, requestId: string): Promise<StartedSession> {
      const secretHash = hashSecret(secret);
      if (!people.findInvitation(secretHash)) throw problem('invitation.invalid');
      const { token, person } = await newPerson(input, requestId);
      return started(token, store.people.acceptInvitation({ ...person, secretHash }), person.session);
    },
  };
}

function ownSession(
  person: Person,
  clubName: string,
  session: Pick<Session, 'idleExpiresAtMs' | 'absoluteExpiresAtMs'>,
) {
  return {
    person,
    clubName,
    expiresAtMs: Math.min(session.idleExpiresAtMs, session.absoluteExpiresAtMs),
    absoluteExpiresAtMs: session.absoluteExpiresAtMs,
  };
}
