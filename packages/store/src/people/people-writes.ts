import { and, eq, lte, or } from 'drizzle-orm';
import type { Actor } from '../actor.js';
import { appendAudit } from '../audit/append-audit.js';
import type { WriteContext } from '../database/context.js';
import { openidLinks } from '../schema/credentials.js';
import { club, invitations, people, sessions } from '../schema/people.js';
import { StoreError } from '../store-error.js';
import { erasePerson } from './erase-person.js';
import type { NewPerson, NewSession, PeopleWrites, Person, PersonRole } from './people.js';
import { peopleReads } from './people-reads.js';

export function peopleWrites(context: WriteContext): PeopleWrites {
  const { db, clock, ids, transaction } = context;
  const read = peopleReads(db, clock);

  function getPerson(personId: string): Person {
    const person = read.find(personId);
    if (!person) throw new StoreError('not_found', `There is no person '${personId}'.`);
    return person;
  }

  return {
    setUp: (input) =>
      transaction(() => {
        if (read.findClub()) throw new StoreError('setup_done', 'The club and its first maintainer exist already.');
        db.insert(club).values({ id: 1, name: input.clubName, createdAtMs: clock() }).run();
        const person = insertPerson(context, input, 'maintainer');
        appendAudit(context, {
          actor: asActor(person, input.requestId),
          action: 'club.setUp',
          target: `person:${person.id}`,
          detail: `${person.name} set up ${input.clubName}`,
        });
        return person;
      }),

    signIn: ({ actor, personId, session }) =>
      transaction(() => {
        endOldSessions(context);
        insertSession(context, personId, session);
        appendAudit(context, { actor, action: 'session.start', target: `person:${personId}`, detail: 'signed in' });
      }),

    touchSession(tokenHash, idleExpiresAtMs) {
      try {
        db.update(sessions)
          .set({ idleExpiresAtMs, lastUsedAtMs: clock() })
          .where(eq(sessions.tokenHash, tokenHash))
          .run();
      } catch (error) {
        // Who reads on a disk that is full or read-only is not to be kept out for that.
        if (!isUnwritable(error)) throw error;
      }
    },

    signOut: ({ actor, tokenHash }) =>
      transaction(() => {
        db.delete(sessions).where(eq(sessions.tokenHash, tokenHash)).run();
        appendAudit(context, { actor, action: 'session.end', target: `person:${actor.id}`, detail: 'signed out' });
      }),

    endSession: ({ actor, personId, sessionId }) =>
      transaction(() => {
        const isMeant = and(eq(sessions.id, sessionId), eq(sessions.personId, personId));
        const session = db.select({ client: sessions.client }).from(sessions).where(isMeant).get();
        if (!session) throw new StoreError('not_found', `There is no sign-in '${sessionId}'.`);
        db.delete(sessions).where(isMeant).run();
        const detail = `ended a sign-in: ${session.client || 'unknown browser'}`;
        appendAudit(context, { actor, action: 'session.revoke', target: `person:${personId}`, detail });
      }),

    endSessions: ({ actor, personId }) =>
      transaction(() => {
        const { name } = getPerson(personId);
        const { changes } = db.delete(sessions).where(eq(sessions.personId, personId)).run();
        appendAudit(context, {
          actor,
          action: 'session.revokeAll',
          target: `person:${personId}`,
          detail: `ended ${changes} sign-ins of ${name}`,
        });
        return changes;
      }),

    setSuspended: ({ actor, personId, isSuspended, reason }) =>
      transaction(() => {
        const before = getPerson(personId);
        const suspendedAtMs = isSuspended ? (before.suspendedAtMs ?? clock()) : null;
        db.update(people).set({ suspendedAtMs }).where(eq(people.id, personId)).run();
        if (isSuspended) db.delete(sessions).where(eq(sessions.personId, personId)).run();
        appendAudit(context, {
          actor,
          action: isSuspended ? 'person.suspend' : 'person.reactivate',
          target: `person:${personId}`,
          detail: reason === '' ? before.name : `${before.name}: ${reason}`,
          before: { isSuspended: before.suspendedAtMs !== null },
          after: { isSuspended },
        });
        return { ...before, suspendedAtMs };
      }),

    erase: (input) => transaction(() => erasePerson(context, input)),

    consent: ({ actor, personId, version }) =>
      transaction(() => {
        const { consentVersion } = getPerson(personId);
        db.update(people).set({ consentVersion: version, consentAtMs: clock() }).where(eq(people.id, personId)).run();
        appendAudit(context, {
          actor,
          action: 'person.consent',
          target: `person:${personId}`,
          detail: `agreed to version ${version} of the terms`,
          before: { consentVersion },
          after: { consentVersion: version },
        });
      }),

    invite: ({ actor, role, note, secretHash, expiresAtMs }) =>
      transaction(() => {
        const invitation = { id: ids(), role, note, expiresAtMs };
        db.insert(invitations)
          .values({ ...invitation, secretHash, createdAtMs: clock() })
          .run();
        appendAudit(context, {
          actor,
          action: 'person.invite',
          target: `invitation:${invitation.id}`,
          detail: note === '' ? `invited a ${role}` : `invited a ${role}: ${note}`,
        });
        return invitation;
      }),

    acceptInvitation: (input) =>
      transaction(() => {
        const invitation = read.findInvitation(input.secretHash);
        if (!invitation) throw new StoreError('invitation_invalid', 'This invitation is unknown, used or expired.');
        const person = insertPerson(context, input, invitation.role);
        db.update(invitations)
          .set({ usedAtMs: clock(), usedById: person.id })
          .where(eq(invitations.id, invitation.id))
          .run();
        const { openid } = input;
        if (openid) {
          db.insert(openidLinks)
            .values({ ...openid, personId: person.id, linkedAtMs: clock() })
            .run();
        }
        appendAudit(context, {
          actor: asActor(person, input.requestId),
          action: 'person.join',
          target: `person:${person.id}`,
          detail: `${person.name} joined as ${person.role}${openid ? ` by ${openid.issuer}` : ''}`,
          after: { role: person.role, consentVersion: person.consentVersion },
        });
        return person;
      }),
  };
}

function isUnwritable(error: unknown): boolean {
  return error instanceof Error && 'code' in error && /^SQLITE_(FULL|READONLY)/.test(String(error.code));
}

function insertPerson(context: WriteContext, input: NewPerson, role: PersonRole): Person {
  const { db, clock, ids } = context;
  const email = input.email.toLowerCase();
  const isTaken = db.select({ id: people.id }).from(people).where(eq(people.email, email)).get() !== undefined;
  if (isTaken) throw new StoreError('email_taken', `A person with the address ${email} exists.`);
  const { consentVersion = 0 } = input;
  const consentAtMs = consentVersion === 0 ? null : clock();
  const consent = { consentVersion, consentAtMs };
  const person = {
    id: ids(),
    name: input.name,
    email,
    role,
    createdAtMs: clock(),
    suspendedAtMs: null,
    erasedAtMs: null,
    ...consent,
  };
  db.insert(people)
    .values({ ...person, passwordHash: input.passwordHash })
    .run();
  insertSession(context, person.id, input.session);
  return { ...person, hasSecondFactor: false };
}

function insertSession({ db, clock, ids }: WriteContext, personId: string, session: NewSession): void {
  const now = clock();
  db.insert(sessions)
    .values({ ...session, id: ids(), personId, startedAtMs: now, lastUsedAtMs: now })
    .run();
}

/** Keeps the table from growing: sessions past a limit can never be found again. */
function endOldSessions({ db, clock }: WriteContext): void {
  const now = clock();
  db.delete(sessions)
    .where(or(lte(sessions.idleExpiresAtMs, now), lte(sessions.absoluteExpiresAtMs, now)))
    .run();
}

function asActor(person: Person, requestId: string): Actor {
  return { kind: 'person', id: person.id, name: person.name, requestId };
}
