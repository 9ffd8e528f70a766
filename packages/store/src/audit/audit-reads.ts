import { and, asc, count, desc, eq, gt, gte, lt, or, type SQL } from 'drizzle-orm';
import type { SQLiteColumn } from 'drizzle-orm/sqlite-core';
import type { Db } from '../database/context.js';
import { pageKey, pageOf } from '../page.js';
import { audit } from '../schema/audit.js';
import type { AuditFilter, AuditReads } from './audit.js';

export function auditReads(db: Db): AuditReads {
  return {
    list({ cursor, limit }, filter = {}) {
      const key = pageKey(cursor);
      const isMeant = meets(filter);
      const rows = db
        .select()
        .from(audit)
        .where(and(isMeant, key && lt(audit.id, Number(key[1]))))
        .orderBy(desc(audit.id))
        .limit(limit + 1)
        .all();
      const totalCount = db.select({ value: count() }).from(audit).where(isMeant).get()?.value ?? 0;
      return pageOf(rows, { limit, totalCount, keyOf: (row) => [null, row.id], toItem: (row) => row });
    },

    after: (afterId, limit, filter = {}) =>
      db
        .select()
        .from(audit)
        .where(and(gt(audit.id, afterId), meets(filter)))
        .orderBy(asc(audit.id))
        .limit(limit)
        .all(),

    head: () => db.select().from(audit).orderBy(desc(audit.id)).limit(1).get(),
  };
}

function meets({ actorId, target, action, fromMs, untilMs }: AuditFilter): SQL | undefined {
  return and(
    actorId === 'system' ? eq(audit.actorKind, 'system') : actorId ? eq(audit.actorId, actorId) : undefined,
    target ? isOrBelow(audit.target, target, ':') : undefined,
    action ? isOrBelow(audit.action, action, '.') : undefined,
    fromMs === undefined ? undefined : gte(audit.atMs, fromMs),
    untilMs === undefined ? undefined : lt(audit.atMs, untilMs),
  );
}

/** The text itself, or all that begin with it and the separator: a range, so that the index serves. */
function isOrBelow(column: SQLiteColumn, text: string, separator: string): SQL | undefined {
  const next = String.fromCharCode(separator.charCodeAt(0) + 1);
  return or(eq(column, text), and(gte(column, `${text}${separator}`), lt(column, `${text}${next}`)));
}
