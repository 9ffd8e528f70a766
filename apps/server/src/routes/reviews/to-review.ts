import type * as Contract from '@syncline/contract';
import type { Comment } from '@syncline/store';
import type { Actor } from '../../services/actor.js';
import type { SeenReview } from '../../services/reviews.js';
import { toInstant, toInstantOrNull, toRevisionLabel } from '../format.js';

export function toReview(review: SeenReview): Contract.Review {
  const { id, revision, contentHash, state, note, requestedByName, decidedByName, reason, whyNot } = review;
  return {
    id,
    revisionId: revision.id,
    revisionLabel: toRevisionLabel(revision),
    contentHash,
    state,
    note,
    requestedByName,
    requestedAt: toInstant(review.requestedAtMs),
    decidedByName,
    decidedAt: toInstantOrNull(review.decidedAtMs),
    reason,
    mayDecide: state === 'open' && whyNot === null,
    whyNot,
  };
}

export function toComment(actor: Actor, comment: Comment): Contract.Comment {
  const { byId, createdAtMs, resolvedAtMs, ...rest } = comment;
  return {
    ...rest,
    cell: rest.cell && { ...rest.cell },
    isOwn: byId === actor.id,
    createdAt: toInstant(createdAtMs),
    resolvedAt: toInstantOrNull(resolvedAtMs),
  };
}
