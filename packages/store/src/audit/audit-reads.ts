import { count, desc, lt } from 'drizzle-orm';
import type { Db } from '../database/context.js';
import { pageKey, pageOf } from '../page.js';
import { audit } from '../schema/audit.js';
import type { AuditReads } from './audit.js';

export function auditReads(db: Db): AuditReads {
  return {
    list({ cursor, limit }) {
      const key = pageKey(cursor);
      const rows = db
        .select()
        .from(audit)
        .where(key && lt(audit.id, Number(key[1])))
        .orderBy(desc(audit.id))
        .limit(limit + 1)
        .all();
      const totalCount = db.select({ value: count() }).from(audit).get()?.value ?? 0;
      return pageOf(rows, { limit, totalCount, keyOf: (row) => [null, row.id], toItem: (row) => row });
    },
  };
}
