import type { Comment, Review, ReviewDecision, Store } from '@syncline/store';
import { notFound, problem } from '../problem-error.js';
import type { Actor } from './actor.js';
import type { CalibrationService } from './calibrations.js';

/** A review as one person sees it. */
export interface SeenReview extends Review {
  /** Why this person may not approve it or send it back; null for who may, and once it is decided. */
  readonly whyNot: string | null;
}

export interface NewComment {
  readonly tableId: string | null;
  readonly variant: string | null;
  readonly cell: { readonly row: number; readonly column: number } | null;
  readonly text: string;
}

/** The newest so many are listed; the older ones stand with their revisions. */
const LISTED_REVIEWS = 200;

export type ReviewService = ReturnType<typeof createReviewService>;

/** Reviews of revisions and remarks on them. Nobody decides on content that he or she had a hand in. */
export function createReviewService({ read, reviews }: Store, calibrations: CalibrationService) {
  const see = (actor: Actor, review: Review): SeenReview => ({
    ...review,
    whyNot: review.state === 'open' ? whyNot(actor, review) : null,
  });

  function whyNot(actor: Actor, { requestedById, calibrationId, contentHash }: Review): string | null {
    if (requestedById === actor.id) return 'You asked for this review: somebody else decides.';
    if (read.reviews.handsIn(calibrationId, contentHash).has(actor.id)) {
      return 'You made or edited this content: somebody else decides.';
    }
    return null;
  }

  function get(reviewId: string): Review {
    const review = read.reviews.find(reviewId);
    if (!review) throw notFound('review');
    return review;
  }

  function getComment(commentId: string): Comment {
    const comment = read.reviews.findComment(commentId);
    if (!comment) throw notFound('comment');
    return comment;
  }

  return {
    list: (actor: Actor, state?: Review['state']): SeenReview[] =>
      read.reviews.list({ state, limit: LISTED_REVIEWS }).map((review) => see(actor, review)),

    ofRevision(actor: Actor, revisionId: string): SeenReview[] {
      calibrations.getSummary(revisionId);
      return read.reviews.ofRevision(revisionId).map((review) => see(actor, review));
    },

    request(actor: Actor, revisionId: string, note: string): SeenReview {
      return see(actor, get(reviews.request({ actor, revisionId, note })));
    },

    decide(
      actor: Actor,
      reviewId: string,
      input: { readonly decision: ReviewDecision; readonly contentHash: string; readonly reason: string },
    ): SeenReview {
      const review = get(reviewId);
      if (review.state === 'open') assertMayDecide(actor, review, input.decision);
      if (input.decision === 'sentBack' && input.reason === '') throw problem('review.reasonMissing');
      reviews.decide({ actor, reviewId, ...input });
      return see(actor, get(reviewId));
    },

    comments(revisionId: string): readonly Comment[] {
      calibrations.getSummary(revisionId);
      return read.reviews.comments(revisionId);
    },

    /** The place must be one of the revision: a table, a variant of it, a cell of that. */
    comment(actor: Actor, revisionId: string, input: NewComment): Comment {
      assertPlace(calibrations.open(revisionId).content.tables, input);
      return getComment(reviews.addComment({ actor, revisionId, ...input }));
    },

    resolveComment(actor: Actor, commentId: string, isResolved: boolean): Comment {
      reviews.resolveComment({ actor, commentId, isResolved });
      return getComment(commentId);
    },
  };

  function assertMayDecide(actor: Actor, review: Review, decision: ReviewDecision): void {
    if (decision === 'withdrawn') {
      if (review.requestedById === actor.id) return;
      throw problem('review.notAllowed', { detail: `Only ${review.requestedByName}, who asked for it, withdraws it.` });
    }
    const reason = whyNot(actor, review);
    if (reason !== null) throw problem('review.notAllowed', { detail: reason });
  }
}

function assertPlace(
  tables: Readonly<Record<string, { axes: readonly (readonly number[])[]; values: Readonly<Record<string, unknown>> }>>,
  { tableId, variant, cell }: NewComment,
): void {
  const refuse = (path: string, detail: string) =>
    problem('request.invalid', { detail, fields: [{ path: `body.${path}`, message: 'is not in this revision' }] });
  if (tableId === null) {
    if (variant !== null || cell !== null) throw refuse('tableId', 'A variant or a cell needs its table.');
    return;
  }
  if (!Object.hasOwn(tables, tableId)) throw refuse('tableId', `The revision has no table '${tableId}'.`);
  const { axes, values } = tables[tableId];
  if (variant !== null && !Object.hasOwn(values, variant)) {
    throw refuse('variant', `Table '${tableId}' has no variant '${variant}'.`);
  }
  if (cell === null) return;
  if (variant === null) throw refuse('variant', 'A cell needs the variant that it is of.');
  const [rows, columns] = axes.length === 2 ? [axes[0].length, axes[1].length] : [1, axes[0]?.length ?? 1];
  if (cell.row < 0 || cell.row >= rows || cell.column < 0 || cell.column >= columns) {
    throw refuse(
      'cell',
      `Table '${tableId}' has ${rows} rows and ${columns} columns, counted from 0; found row ${cell.row}, column ${cell.column}.`,
    );
  }
}
