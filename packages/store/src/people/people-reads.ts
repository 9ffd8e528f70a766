import { and, asc, count, eq, getTableColumns, gt, isNull, sql } from 'drizzle-orm';
import type { Db } from '../database/context.js';
import { pageKey, pageOf } from '../page.js';
import { club, invitations, people, sessions } from '../schema/people.js';
import type { PeopleReads } from './people.js';

const { passwordHash: _secret, ...publicColumns } = getTableColumns(people);

export function peopleReads(db: Db, clock: () => number): PeopleReads {
  return {
    findClub: () => db.select({ name: club.name, createdAtMs: club.createdAtMs }).from(club).get(),

    find: (personId) => db.select(publicColumns).from(people).where(eq(people.id, personId)).get(),

    findByEmail: (email) => db.select().from(people).where(eq(people.email, email.toLowerCase())).get(),

    list({ cursor, limit }) {
      const key = pageKey(cursor);
      const name = sql`${people.name} COLLATE NOCASE`;
      const rows = db
        .select(publicColumns)
        .from(people)
        .where(key && sql`(${name}, ${people.id}) > (${key[0]}, ${key[1]})`)
        .orderBy(asc(name), asc(people.id))
        .limit(limit + 1)
        .all();
      const totalCount = db.select({ value: count() }).from(people).get()?.value ?? 0;
      return pageOf(rows, { limit, totalCount, keyOf: (row) => [row.name, row.id], toItem: (row) => row });
    },

    findSession(tokenHash) {
      const now = clock();
      const row = db
        .select({ session: sessions, person: publicColumns })
        .from(sessions)
        .innerJoin(people, eq(people.id, sessions.personId))
        .where(
          and(
            eq(sessions.tokenHash, tokenHash),
            gt(sessions.idleExpiresAtMs, now),
            gt(sessions.absoluteExpiresAtMs, now),
          ),
        )
        .get();
      if (!row) return undefined;
      const { personId: _personId, ...session } = row.session;
      return { ...session, person: row.person };
    },

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
