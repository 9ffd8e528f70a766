import { Button, Group, Stack, Text, Textarea } from '@mantine/core';
import { useDisclosure } from '@mantine/hooks';
import { type Comment, mayDo, type Review, type RevisionResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { platformQueries } from '../../api/platforms.js';
import { reviewQueries, useDecideReview, useRequestReview } from '../../api/reviews.js';
import { useSession } from '../../api/session.js';
import { counted } from '../../format/quantity.js';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { ReviewMark } from '../review/review-mark.js';
import { CommentDialog } from './comment-dialog.js';
import { CommentList } from './comment-list.js';
import classes from './review.module.css';
import { placeName, tableView } from './table-view.js';

/** What reviewers say of the revision: the review that runs, those before, and the comments. */
export function ReviewSection({ revision }: { readonly revision: RevisionResponse }) {
  const reviews = useQuery(reviewQueries.ofRevision(revision.id));
  const comments = useQuery(reviewQueries.comments(revision.id));
  const { role } = useSession().person;
  const [isCommenting, comment] = useDisclosure(false);
  const placeWords = usePlaceWords(revision);
  const open = comments.data?.items.filter(({ resolvedAt }) => resolvedAt === null).length ?? 0;
  return (
    <Section
      title="Review"
      note={`${comments.data === undefined ? '' : `${counted(open, 'open comment')}. `}Comments on a table or a cell are made at the tables below.`}
      actions={
        mayDo(role, 'review:write') && (
          <Button variant="default" size="compact-sm" onClick={comment.open}>
            Comment on the revision
          </Button>
        )
      }
    >
      <QueryView query={reviews}>
        {({ items: [current, ...earlier] }) => (
          <div className={classes.review}>
            <CurrentReview revision={revision} review={current} />
            {earlier.length > 0 && <EarlierReviews reviews={earlier} />}
          </div>
        )}
      </QueryView>
      <QueryView query={comments}>
        {({ items }) =>
          items.length > 0 && <CommentList revisionId={revision.id} comments={items} placeWords={placeWords} />
        }
      </QueryView>
      <CommentDialog
        revisionId={revision.id}
        target={isCommenting ? { tableId: null, variant: null, cell: null, words: 'the revision' } : null}
        onClose={comment.close}
      />
    </Section>
  );
}

/** Names of tables and break points come with the layout; until then a table goes by its id. */
function usePlaceWords({ platformId, layoutVersion, content }: RevisionResponse): (comment: Comment) => string {
  const layout = useQuery(platformQueries.layout(platformId, layoutVersion)).data?.layout;
  const platform = useQuery(platformQueries.one(platformId)).data?.platform;
  return ({ tableId, variant, cell }) => {
    if (tableId === null) return '';
    if (layout === undefined || platform === undefined) return tableId;
    const view = tableView(layout, platform, content, { table: tableId, variant: variant ?? undefined });
    if (view === undefined) return tableId;
    const place = cell === null ? '' : placeName(view, cell);
    return [variant === null ? view.spec.title : view.name, place].filter(Boolean).join(', ');
  };
}

interface CurrentReviewProps {
  readonly revision: RevisionResponse;
  readonly review: Review | undefined;
}

function CurrentReview({ revision, review }: CurrentReviewProps) {
  const { role } = useSession().person;
  const mayRequest = mayDo(role, 'calibration:write') && review?.state !== 'open';
  return (
    <>
      {review === undefined ? (
        <p className={classes.line}>
          <ReviewMark state="none" /> Nobody has been asked to review it.
        </p>
      ) : (
        <ReviewFacts review={review} />
      )}
      {review?.state === 'open' && <Decision review={review} />}
      {mayRequest && <RequestForm revision={revision} isAgain={review !== undefined} />}
    </>
  );
}

function ReviewFacts({ review }: { readonly review: Review }) {
  const { state, requestedByName, requestedAt, note, decidedByName, decidedAt, reason, contentHash } = review;
  return (
    <div className={classes.line}>
      <ReviewMark state={state} />
      <span>
        requested by {requestedByName}, <Instant at={requestedAt} />
        {decidedAt !== null && (
          <>
            {' '}
            · decided by {decidedByName}, <Instant at={decidedAt} />
          </>
        )}{' '}
        · of content <code title={contentHash}>{contentHash.slice(0, 12)}…</code>
      </span>
      {note !== '' && <blockquote className={classes.quote}>{note}</blockquote>}
      {reason !== null && reason !== '' && <blockquote className={classes.quote}>{reason}</blockquote>}
    </div>
  );
}

function EarlierReviews({ reviews }: { readonly reviews: readonly Review[] }) {
  return (
    <details>
      <summary>{counted(reviews.length, 'earlier review')}</summary>
      {reviews.map((review) => (
        <ReviewFacts key={review.id} review={review} />
      ))}
    </details>
  );
}

function RequestForm({ revision, isAgain }: { readonly revision: RevisionResponse; readonly isAgain: boolean }) {
  const request = useRequestReview(revision.id);
  const [note, setNote] = useState('');
  return (
    <form
      className={classes.form}
      onSubmit={(event) => {
        event.preventDefault();
        request.mutate(note);
      }}
    >
      <Textarea
        label={isAgain ? 'Ask for another review' : 'Ask for a review'}
        description="What reviewers should look at; may be left empty"
        autosize
        minRows={2}
        value={note}
        onChange={(event) => setNote(event.currentTarget.value)}
      />
      {request.error !== null && <ProblemNotice error={request.error} />}
      <div>
        <Button type="submit" size="xs" loading={request.isPending}>
          Request a review
        </Button>
      </div>
    </form>
  );
}

/** Approve, send back or withdraw; or why the person may not. */
function Decision({ review }: { readonly review: Review }) {
  const decide = useDecideReview(review.id);
  const { name } = useSession().person;
  const [reason, setReason] = useState('');
  const [isMissing, setMissing] = useState(false);
  const send = (decision: 'approved' | 'sentBack' | 'withdrawn') => {
    const isReasonMissing = decision === 'sentBack' && reason.trim() === '';
    setMissing(isReasonMissing);
    if (!isReasonMissing) decide.mutate({ decision, contentHash: review.contentHash, reason });
  };
  if (!review.mayDecide) {
    return (
      <Stack gap="xs" align="flex-start">
        <Text size="sm">{review.whyNot}</Text>
        {review.requestedByName === name && (
          <Button variant="default" size="xs" loading={decide.isPending} onClick={() => send('withdrawn')}>
            Withdraw the request
          </Button>
        )}
        {decide.error !== null && <ProblemNotice error={decide.error} />}
      </Stack>
    );
  }
  return (
    <div className={classes.form}>
      <Textarea
        label="Reason"
        description="Needed to send it back: what is to be changed"
        autosize
        minRows={2}
        value={reason}
        error={isMissing ? 'Say what is to be changed' : undefined}
        onChange={(event) => {
          setMissing(false);
          setReason(event.currentTarget.value);
        }}
      />
      {decide.error !== null && <ProblemNotice error={decide.error} />}
      <Group gap="xs">
        <Button size="xs" loading={decide.isPending} onClick={() => send('approved')}>
          Approve
        </Button>
        <Button variant="default" size="xs" loading={decide.isPending} onClick={() => send('sentBack')}>
          Send back
        </Button>
      </Group>
    </div>
  );
}
