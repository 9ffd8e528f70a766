import { and, eq } from 'drizzle-orm';
import { appendAudit } from '../audit/append-audit.js';
import type { WriteContext } from '../database/context.js';
import { calibrations, revisions } from '../schema/calibrations.js';
import { comments, reviews } from '../schema/reviews.js';
import { StoreError } from '../store-error.js';
import type { ReviewDecision, ReviewWrites } from './reviews.js';

const ACTIONS: Readonly<Record<ReviewDecision, string>> = {
  approved: 'review.approve',
  sentBack: 'review.sendBack',
  withdrawn: 'review.withdraw',
};

export function reviewWrites(context: WriteContext): ReviewWrites {
  const { db, clock, ids, transaction } = context;
  return {
    request: ({ actor, revisionId, note }) =>
      transaction(() => {
        const { calibrationId, contentHash, label } = getRevision(context, revisionId);
        const isOpen = and(eq(reviews.revisionId, revisionId), eq(reviews.state, 'open'));
        const open = db.select().from(reviews).where(isOpen).get();
        if (open) throw new StoreError('review_open', `${open.requestedByName} has asked for a review of ${label}.`);
        const id = ids();
        db.insert(reviews)
          .values({
            id,
            calibrationId,
            revisionId,
            contentHash,
            state: 'open',
            note,
            requestedById: actor.id,
            requestedByName: actor.name,
            requestedAtMs: clock(),
          })
          .run();
        appendAudit(context, {
          actor,
          action: 'review.request',
          target: `revision:${revisionId}`,
          detail: [`${label} (content ${contentHash})`, note].filter(Boolean).join(': '),
        });
        return id;
      }),

    decide: ({ actor, reviewId, decision, contentHash, reason }) =>
      transaction(() => {
        const review = db.select().from(reviews).where(eq(reviews.id, reviewId)).get();
        if (!review) throw new StoreError('not_found', `There is no review '${reviewId}'.`);
        const { label } = getRevision(context, review.revisionId);
        if (review.state !== 'open') {
          throw new StoreError('review_closed', `The review of ${label} was ended by ${review.decidedByName}.`);
        }
        if (review.contentHash !== contentHash) {
          throw new StoreError(
            'review_other_content',
            `The review of ${label} is of content ${review.contentHash}, the decision of ${contentHash}.`,
          );
        }
        db.update(reviews)
          .set({
            state: decision,
            decidedById: actor.id,
            decidedByName: actor.name,
            decidedAtMs: clock(),
            reason: reason === '' ? null : reason,
          })
          .where(eq(reviews.id, reviewId))
          .run();
        appendAudit(context, {
          actor,
          action: ACTIONS[decision],
          target: `revision:${review.revisionId}`,
          detail: [`${label} (content ${contentHash})`, reason].filter(Boolean).join(': '),
        });
      }),

    addComment: ({ actor, revisionId, tableId, variant, cell, text }) =>
      transaction(() => {
        const { label } = getRevision(context, revisionId);
        const id = ids();
        db.insert(comments)
          .values({
            id,
            revisionId,
            tableId,
            variant,
            row: cell?.row ?? null,
            column: cell?.column ?? null,
            text,
            byId: actor.id,
            byName: actor.name,
            createdAtMs: clock(),
          })
          .run();
        const place = [tableId, variant, cell && `row ${cell.row + 1}, column ${cell.column + 1}`];
        appendAudit(context, {
          actor,
          action: 'comment.add',
          target: `revision:${revisionId}`,
          detail: `${[label, ...place].filter(Boolean).join(', ')}: ${text}`,
        });
        return id;
      }),

    resolveComment: ({ actor, commentId, isResolved }) =>
      transaction(() => {
        const comment = db.select().from(comments).where(eq(comments.id, commentId)).get();
        if (!comment) throw new StoreError('not_found', `There is no comment '${commentId}'.`);
        const resolved = { resolvedAtMs: clock(), resolvedByName: actor.name };
        db.update(comments)
          .set(isResolved ? resolved : { resolvedAtMs: null, resolvedByName: null })
          .where(eq(comments.id, commentId))
          .run();
        appendAudit(context, {
          actor,
          action: isResolved ? 'comment.resolve' : 'comment.reopen',
          target: `revision:${comment.revisionId}`,
          detail: comment.text,
          before: { isResolved: comment.resolvedAtMs !== null },
          after: { isResolved },
        });
      }),
  };
}

function getRevision({ db }: WriteContext, revisionId: string) {
  const row = db
    .select({
      calibrationId: revisions.calibrationId,
      contentHash: revisions.contentHash,
      title: calibrations.title,
      number: revisions.number,
    })
    .from(revisions)
    .innerJoin(calibrations, eq(calibrations.id, revisions.calibrationId))
    .where(eq(revisions.id, revisionId))
    .get();
  if (!row) throw new StoreError('not_found', `There is no revision '${revisionId}'.`);
  return { ...row, label: `${row.title} ${row.number}` };
}
