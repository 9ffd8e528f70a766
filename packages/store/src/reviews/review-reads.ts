import { and, asc, desc, eq } from 'drizzle-orm';
import type { Db } from '../database/context.js';
import { calibrations, revisions } from '../schema/calibrations.js';
import { comments, reviews } from '../schema/reviews.js';
import type { Comment, Review, ReviewReads } from './reviews.js';

export function reviewReads(db: Db): ReviewReads {
  return {
    list: ({ state, limit }) =>
      selectReviews(db)
        .where(state && eq(reviews.state, state))
        .orderBy(desc(reviews.id))
        .limit(limit)
        .all()
        .map(toReview),

    ofRevision(revisionId) {
      const revision = db.select().from(revisions).where(eq(revisions.id, revisionId)).get();
      if (!revision) return [];
      const isOfContent = and(
        eq(reviews.calibrationId, revision.calibrationId),
        eq(reviews.contentHash, revision.contentHash),
      );
      return selectReviews(db).where(isOfContent).orderBy(desc(reviews.id)).all().map(toReview);
    },

    find(reviewId) {
      const row = selectReviews(db).where(eq(reviews.id, reviewId)).get();
      return row && toReview(row);
    },

    handsIn(calibrationId, contentHash) {
      const rows = db
        .select({ authorId: revisions.authorId, editorIds: revisions.editorIds })
        .from(revisions)
        .where(and(eq(revisions.contentHash, contentHash), eq(revisions.calibrationId, calibrationId)))
        .all();
      return new Set(rows.flatMap(({ authorId, editorIds }) => (authorId ? [authorId, ...editorIds] : editorIds)));
    },

    comments: (revisionId) =>
      db
        .select()
        .from(comments)
        .where(eq(comments.revisionId, revisionId))
        .orderBy(asc(comments.id))
        .all()
        .map(toComment),

    findComment(commentId) {
      const row = db.select().from(comments).where(eq(comments.id, commentId)).get();
      return row && toComment(row);
    },
  };
}

function selectReviews(db: Db) {
  return db
    .select({ review: reviews, calibrationTitle: calibrations.title, number: revisions.number })
    .from(reviews)
    .innerJoin(revisions, eq(revisions.id, reviews.revisionId))
    .innerJoin(calibrations, eq(calibrations.id, reviews.calibrationId));
}

function toReview(row: NonNullable<ReturnType<ReturnType<typeof selectReviews>['get']>>): Review {
  const { revisionId, decidedById: _decidedById, ...review } = row.review;
  return { ...review, revision: { id: revisionId, calibrationTitle: row.calibrationTitle, number: row.number } };
}

function toComment({ row, column, ...rest }: typeof comments.$inferSelect): Comment {
  return { ...rest, cell: row === null || column === null ? null : { row, column } };
}
