import { and, count, desc, eq, getTableColumns, sql } from 'drizzle-orm';
import type { Db } from '../database/context.js';
import { pageKey, pageOf } from '../page.js';
import { applications, recruitment } from '../schema/applications.js';
import { platforms } from '../schema/platforms.js';
import type { ApplicationReads } from './applications.js';

const { invitationId: _invitationId, ...columns } = getTableColumns(applications);
const { id: _id, ...recruitmentColumns } = getTableColumns(recruitment);

export function applicationReads(db: Db): ApplicationReads {
  return {
    list({ state, platformId }, { cursor, limit }) {
      const key = pageKey(cursor);
      const isMeant = and(
        state && eq(applications.state, state),
        platformId === undefined ? undefined : eq(applications.platformId, platformId),
      );
      const rows = selectApplications(db)
        .where(and(isMeant, key && sql`${applications.id} < ${key[1]}`))
        .orderBy(desc(applications.id))
        .limit(limit + 1)
        .all();
      const totalCount = db.select({ value: count() }).from(applications).where(isMeant).get()?.value ?? 0;
      return pageOf(rows, { limit, totalCount, keyOf: ({ id }) => [null, id], toItem: (row) => row });
    },

    find: (applicationId) => selectApplications(db).where(eq(applications.id, applicationId)).get(),

    countNew: () =>
      db.select({ value: count() }).from(applications).where(eq(applications.state, 'new')).get()?.value ?? 0,

    findRecruitment: () => db.select(recruitmentColumns).from(recruitment).get(),
  };
}

function selectApplications(db: Db) {
  return db
    .select({
      ...columns,
      platformTitle: platforms.title,
      sameAddress: sql<number>`(
        SELECT count(*) - 1 FROM applications AS others WHERE others.email = ${applications.email})`,
    })
    .from(applications)
    .leftJoin(platforms, eq(platforms.id, applications.platformId));
}
