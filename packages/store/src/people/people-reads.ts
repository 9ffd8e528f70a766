import { and, asc, count, desc, eq, getTableColumns, gt, isNull, sql } from 'drizzle-orm';
import type { Db } from '../database/context.js';
import { once } from '../database/once.js';
import { pageKey, pageOf } from '../page.js';
import { club, invitations, people, sessions } from '../schema/people.js';
import type { PeopleReads } from './people.js';
import { personColumns } from './person-columns.js';

const { personId: _personId, ...sessionColumns } = getTableColumns(sessions);

export function peopleReads(db: Db, clock: () => number): PeopleReads {
  const isAlive = () => and(gt(sessions.idleExpiresAtMs, clock()), gt(sessions.absoluteExpiresAtMs, clock()));
  // Every request asks these two: they are put together once, when the first one comes.
  const clubQuery = once(() => db.select({ name: club.name, createdAtMs: club.createdAtMs }).from(club).prepare());
  const sessionQuery = once(() =>
    db
      .select({ session: sessionColumns, person: personColumns })
      .from(sessions)
      .innerJoin(people, eq(people.id, sessions.personId))
      .where(
        and(
          eq(sessions.tokenHash, sql.placeholder('tokenHash')),
          isNull(people.suspendedAtMs),
          gt(sessions.idleExpiresAtMs, sql.placeholder('now')),
          gt(sessions.absoluteExpiresAtMs, sql.placeholder('now')),
        ),
      )
      .prepare(),
  );
  return {
    findClub: () => clubQuery().get(),

    find: (personId) => db.select(personColumns).from(people).where(eq(people.id, personId)).get(),

    findByEmail: (email) =>
      db
        .select({ ...personColumns, passwordHash: people.passwordHash })
        .from(people)
        .where(eq(people.email, email.toLowerCase()))
        .get(),

    list({ cursor, limit }) {
      const key = pageKey(cursor);
      const name = sql`${people.name} COLLATE NOCASE`;
      const rows = db
        .select(personColumns)
        .from(people)
        .where(key && sql`(${name}, ${people.id}) > (${key[0]}, ${key[1]})`)
        .orderBy(asc(name), asc(people.id))
        .limit(limit + 1)
        .all();
      const totalCount = db.select({ value: count() }).from(people).get()?.value ?? 0;
      return pageOf(rows, { limit, totalCount, keyOf: (row) => [row.name, row.id], toItem: (row) => row });
    },

    findSession(tokenHash) {
      const row = sessionQuery().get({ tokenHash, now: clock() });
      return row && { ...row.session, person: row.person };
    },

    listSessions: (personId) =>
      db
        .select(sessionColumns)
        .from(sessions)
        .where(and(eq(sessions.personId, personId), isAlive()))
        .orderBy(desc(sessions.startedAtMs), desc(sessions.id))
        .all(),

    findInvitation: (secretHash) =>
      db
        .select({
          id: invitations.id,
          role: invitations.role,
          note: invitations.note,
          expiresAtMs: invitations.expiresAtMs,
        })
        .from(invitations)
        .where(
          and(
            eq(invitations.secretHash, secretHash),
            isNull(invitations.usedAtMs),
            gt(invitations.expiresAtMs, clock()),
          ),
        )
        .get(),
  };
}
