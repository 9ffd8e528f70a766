import { eq, lte, or } from 'drizzle-orm';
import type { Actor } from '../actor.js';
import { appendAudit } from '../audit/append-audit.js';
import type { WriteContext } from '../database/context.js';
import { club, invitations, people, sessions } from '../schema/people.js';
import { StoreError } from '../store-error.js';
import type { NewPerson, NewSession, PeopleWrites, Person, PersonRole } from './people.js';
import { peopleReads } from './people-reads.js';

export function peopleWrites(context: WriteContext): PeopleWrites {
  const { db, clock, ids, transaction } = context;
  const read = peopleReads(db, clock);

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
      db.update(sessions).set({ idleExpiresAtMs }).where(eq(sessions.tokenHash, tokenHash)).run();
    },

    signOut: ({ actor, tokenHash }) =>
      transaction(() => {
        db.delete(sessions).where(eq(sessions.tokenHash, tokenHash)).run();
        appendAudit(context, { actor, action: 'session.end', target: `person:${actor.id}`, detail: 'signed out' });
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
        appendAudit(context, {
          actor: asActor(person, input.requestId),
          action: 'person.join',
          target: `person:${person.id}`,
          detail: `${person.name} joined as ${person.role}`,
        });
        return person;
      }),
  };
}

function insertPerson(context: WriteContext, input: NewPerson, role: PersonRole): Person {
  const { db, clock, ids } = context;
  const email = input.email.toLowerCase();
  const isTaken = db.select({ id: people.id }).from(people).where(eq(people.email, email)).get() !== undefined;
  if (isTaken) throw new StoreError('email_taken', `A person with the address ${email} exists.`);
  const person = { id: ids(), name: input.name, email, role, createdAtMs: clock() };
  db.insert(people)
    .values({ ...person, passwordHash: input.passwordHash })
    .run();
  insertSession(context, person.id, input.session);
  return person;
}

function insertSession({ db, clock }: WriteContext, personId: string, session: NewSession): void {
  db.insert(sessions)
    .values({ ...session, personId, startedAtMs: clock() })
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
