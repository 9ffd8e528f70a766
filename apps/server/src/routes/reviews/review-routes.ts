import {
  comment,
  commentsResponse,
  createCommentRequest,
  decideReviewRequest,
  requestReviewRequest,
  resolveCommentRequest,
  review,
  reviewListQuery,
  reviewsResponse,
} from '@syncline/contract';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import type { ReviewService } from '../../services/reviews.js';
import type { App } from '../app.js';
import { toComment, toReview } from './to-review.js';

const revisionParams = z.object({ revisionId: z.string() });
const reviewParams = z.object({ reviewId: z.string() });
const commentParams = z.object({ commentId: z.string() });
const read = { access: 'calibration:read' } as const;
const decide = { access: 'review:write' } as const;

/** Reviews of revisions, and remarks on their tables and cells. */
export function addReviewRoutes(app: App, reviews: ReviewService): void {
  app.get(
    '/reviews',
    { config: read, schema: { querystring: reviewListQuery, response: { 200: reviewsResponse } } },
    async (request) => ({ items: reviews.list(actorOf(request), request.query.state).map(toReview) }),
  );

  app.get(
    '/revisions/:revisionId/reviews',
    { config: read, schema: { params: revisionParams, response: { 200: reviewsResponse } } },
    async (request) => ({ items: reviews.ofRevision(actorOf(request), request.params.revisionId).map(toReview) }),
  );

  app.post(
    '/revisions/:revisionId/reviews',
    {
      config: { access: 'calibration:write' },
      schema: { params: revisionParams, body: requestReviewRequest, response: { 201: review } },
    },
    (request, reply) => {
      reply.code(201);
      return toReview(reviews.request(actorOf(request), request.params.revisionId, request.body.note));
    },
  );

  app.post(
    '/reviews/:reviewId/decision',
    { config: decide, schema: { params: reviewParams, body: decideReviewRequest, response: { 200: review } } },
    (request) => toReview(reviews.decide(actorOf(request), request.params.reviewId, request.body)),
  );

  app.get(
    '/revisions/:revisionId/comments',
    { config: read, schema: { params: revisionParams, response: { 200: commentsResponse } } },
    async (request) => {
      const actor = actorOf(request);
      return { items: reviews.comments(request.params.revisionId).map((entry) => toComment(actor, entry)) };
    },
  );

  app.post(
    '/revisions/:revisionId/comments',
    { config: decide, schema: { params: revisionParams, body: createCommentRequest, response: { 201: comment } } },
    (request, reply) => {
      const actor = actorOf(request);
      reply.code(201);
      return toComment(actor, reviews.comment(actor, request.params.revisionId, request.body));
    },
  );

  app.patch(
    '/comments/:commentId',
    { config: decide, schema: { params: commentParams, body: resolveCommentRequest, response: { 200: comment } } },
    (request) => {
      const actor = actorOf(request);
      return toComment(actor, reviews.resolveComment(actor, request.params.commentId, request.body.isResolved));
    },
  );
}
