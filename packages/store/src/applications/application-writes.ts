import { and, eq, lt } from 'drizzle-orm';
import { appendAudit } from '../audit/append-audit.js';
import type { WriteContext } from '../database/context.js';
import { applications, recruitment } from '../schema/applications.js';
import { platforms } from '../schema/platforms.js';
import { StoreError } from '../store-error.js';
import type { ApplicationWrites } from './applications.js';

export function applicationWrites(context: WriteContext): ApplicationWrites {
  const { db, clock, ids, transaction } = context;

  function change(applicationId: string, set: Partial<typeof applications.$inferInsert>): void {
    const { changes } = db.update(applications).set(set).where(eq(applications.id, applicationId)).run();
    if (changes === 0) throw new StoreError('not_found', `There is no application '${applicationId}'.`);
  }

  return {
    setRecruitment: ({ actor, isOpen, callText }) =>
      transaction(() => {
        const values = { isOpen, callText, changedByName: actor.name, changedAtMs: clock() };
        const before = db
          .select({ isOpen: recruitment.isOpen, callText: recruitment.callText })
          .from(recruitment)
          .get();
        db.insert(recruitment)
          .values({ id: 1, ...values })
          .onConflictDoUpdate({ target: recruitment.id, set: values })
          .run();
        appendAudit(context, {
          actor,
          action: 'recruitment.change',
          target: 'club',
          detail: isOpen ? 'applications are taken' : 'applications are not taken',
          before: before ?? { isOpen: false, callText: '' },
          after: { isOpen, callText },
        });
      }),

    receive: ({ actor, content }) =>
      transaction(() => {
        const { platformId } = content;
        if (platformId !== null && !db.select().from(platforms).where(eq(platforms.id, platformId)).get()) {
          throw new StoreError('not_found', `There is no platform '${platformId}'.`);
        }
        const id = ids();
        db.insert(applications)
          .values({ id, state: 'new', receivedAtMs: clock(), ...content })
          .run();
        appendAudit(context, { actor, action: 'application.receive', target: `application:${id}`, detail: 'came in' });
      }),

    decide: ({ actor, applicationId, state, note }) =>
      transaction(() => {
        change(applicationId, { state, note, decidedByName: actor.name, decidedAtMs: clock() });
        appendAudit(context, {
          actor,
          action: state === 'declined' ? 'application.decline' : 'application.keepWaiting',
          target: `application:${applicationId}`,
          detail: state,
        });
      }),

    noteInvitation: ({ actor, applicationId, invitationId }) =>
      change(applicationId, {
        state: 'invited',
        invitationId,
        decidedByName: actor.name,
        decidedAtMs: clock(),
      }),

    remove: ({ actor, applicationId }) =>
      transaction(() => {
        const { changes } = db.delete(applications).where(eq(applications.id, applicationId)).run();
        if (changes === 0) throw new StoreError('not_found', `There is no application '${applicationId}'.`);
        appendAudit(context, {
          actor,
          action: 'application.remove',
          target: `application:${applicationId}`,
          detail: 'removed with all that it said',
        });
      }),

    sweepDeclined: ({ actor, beforeMs }) =>
      transaction(() => {
        const isOld = and(eq(applications.state, 'declined'), lt(applications.decidedAtMs, beforeMs));
        const { changes } = db.delete(applications).where(isOld).run();
        if (changes > 0) {
          const detail = `${changes} declined applications ran out and were removed`;
          appendAudit(context, { actor, action: 'application.sweep', target: 'club', detail });
        }
        return changes;
      }),
  };
}
