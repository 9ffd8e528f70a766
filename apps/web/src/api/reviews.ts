import {
  comment,
  commentsResponse,
  type createCommentRequest,
  type decideReviewRequest,
  type ReviewState,
  review,
  reviewsResponse,
} from '@syncline/contract';
import { queryOptions, useMutation, useQueryClient } from '@tanstack/react-query';
import type { z } from 'zod';
import { send } from './client.js';
import { resource } from './resource.js';

const revisionPath = (id: string) => `/revisions/${encodeURIComponent(id)}`;

export const reviewQueries = {
  /** Reviews in one state, newest first. */
  list: (state: ReviewState) =>
    queryOptions({
      queryKey: ['reviews', 'list', state],
      ...resource('/reviews', reviewsResponse, { state }),
    }),
  ofRevision: (revisionId: string) =>
    queryOptions({
      queryKey: ['reviews', 'revision', revisionId],
      ...resource(`${revisionPath(revisionId)}/reviews`, reviewsResponse),
    }),
  comments: (revisionId: string) =>
    queryOptions({
      queryKey: ['reviews', 'comments', revisionId],
      ...resource(`${revisionPath(revisionId)}/comments`, commentsResponse),
    }),
};

/** A change to reviews shows in the histories of calibrations too. */
function useReviewMutation<Input, Answer>(work: (input: Input) => Promise<Answer>) {
  const client = useQueryClient();
  return useMutation({
    mutationFn: work,
    onSuccess: () =>
      Promise.all([
        client.invalidateQueries({ queryKey: ['reviews'] }),
        client.invalidateQueries({ queryKey: ['calibrations', 'one'] }),
        client.invalidateQueries({ queryKey: ['calibrations', 'revision'] }),
      ]),
  });
}

export function useRequestReview(revisionId: string) {
  return useReviewMutation((note: string) =>
    send('POST', `${revisionPath(revisionId)}/reviews`, { body: { note }, schema: review }),
  );
}

export function useDecideReview(reviewId: string) {
  return useReviewMutation((body: z.input<typeof decideReviewRequest>) =>
    send('POST', `/reviews/${encodeURIComponent(reviewId)}/decision`, { body, schema: review }),
  );
}

/** A remark, or that it is settled; only the remarks of the revision are read anew. */
function useCommentMutation<Input, Answer>(revisionId: string, work: (input: Input) => Promise<Answer>) {
  const client = useQueryClient();
  return useMutation({
    mutationFn: work,
    onSuccess: () => client.invalidateQueries({ queryKey: reviewQueries.comments(revisionId).queryKey }),
  });
}

export function useComment(revisionId: string) {
  return useCommentMutation(revisionId, (body: z.input<typeof createCommentRequest>) =>
    send('POST', `${revisionPath(revisionId)}/comments`, { body, schema: comment }),
  );
}

export function useResolveComment(revisionId: string) {
  return useCommentMutation(revisionId, ({ commentId, isResolved }: { commentId: string; isResolved: boolean }) =>
    send('PATCH', `/comments/${encodeURIComponent(commentId)}`, { body: { isResolved }, schema: comment }),
  );
}
