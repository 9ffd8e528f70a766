import { and, asc, desc, eq, getTableColumns, isNull, lte, sql } from 'drizzle-orm';
import { appendAudit } from '../audit/append-audit.js';
import type { Db, WriteContext } from '../database/context.js';
import { hooks, notices } from '../schema/notices.js';
import { StoreError } from '../store-error.js';
import type { NoticeReads, NoticeWrites } from './notices.js';

/** What is kept of an error message. */
const MAX_ERROR_LENGTH = 300;

export function noticeReads(db: Db, clock: () => number): NoticeReads {
  const { secret: _secret, removedAtMs: _removedAtMs, ...columns } = getTableColumns(hooks);
  return {
    hooks: () => db.select(columns).from(hooks).where(isNull(hooks.removedAtMs)).orderBy(desc(hooks.id)).all(),

    findHook: (hookId) =>
      db
        .select({ ...columns, secret: hooks.secret })
        .from(hooks)
        .where(and(eq(hooks.id, hookId), isNull(hooks.removedAtMs)))
        .get(),

    due: (limit) =>
      db
        .select()
        .from(notices)
        .where(and(eq(notices.state, 'waiting'), lte(notices.nextAtMs, clock())))
        .orderBy(asc(notices.nextAtMs), asc(notices.id))
        .limit(limit)
        .all(),

    list: ({ about, limit }) =>
      db
        .select()
        .from(notices)
        .where(about === undefined ? undefined : eq(notices.about, about))
        .orderBy(desc(notices.id))
        .limit(limit)
        .all(),
  };
}

export function noticeWrites(context: WriteContext): NoticeWrites {
  const { db, clock, ids, transaction } = context;
  return {
    addHook: ({ actor, url, secret }) =>
      transaction(() => {
        const id = ids();
        db.insert(hooks).values({ id, url, secret, createdByName: actor.name, createdAtMs: clock() }).run();
        appendAudit(context, { actor, action: 'hook.add', target: `hook:${id}`, detail: url });
        return id;
      }),

    removeHook: ({ actor, hookId }) =>
      transaction(() => {
        const hook = db
          .select({ url: hooks.url })
          .from(hooks)
          .where(and(eq(hooks.id, hookId), isNull(hooks.removedAtMs)))
          .get();
        if (!hook) throw new StoreError('not_found', `There is no hook '${hookId}'.`);
        // The secret goes: nothing is signed with it any more.
        db.update(hooks).set({ removedAtMs: clock(), secret: '' }).where(eq(hooks.id, hookId)).run();
        appendAudit(context, { actor, action: 'hook.remove', target: `hook:${hookId}`, detail: hook.url });
      }),

    queue: (queued) =>
      transaction(() => {
        const now = clock();
        for (const notice of queued) {
          db.insert(notices)
            .values({
              id: ids(),
              ...notice,
              state: 'waiting',
              attempts: 0,
              nextAtMs: now,
              lastError: '',
              createdAtMs: now,
            })
            .run();
        }
      }),

    settle: (noticeId, outcome) =>
      transaction(() => {
        const attempts = sql`${notices.attempts} + 1`;
        const settled = outcome.isSent
          ? { state: 'sent' as const, sentAtMs: clock(), lastError: '' }
          : {
              state: outcome.nextAtMs === null ? ('failed' as const) : ('waiting' as const),
              nextAtMs: outcome.nextAtMs ?? clock(),
              lastError: outcome.error.slice(0, MAX_ERROR_LENGTH),
            };
        db.update(notices)
          .set({ attempts, ...settled })
          .where(eq(notices.id, noticeId))
          .run();
      }),
  };
}
