import { SegmentedControl } from '@mantine/core';
import type { Review, ReviewState } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useNavigate, useSearch } from '@tanstack/react-router';
import { reviewQueries } from '../../api/reviews.js';
import { type CsvColumn, csvFileName } from '../../format/csv.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { EmptyState } from '../../parts/empty-state.js';
import { Instant } from '../../parts/instant.js';
import { PageHead } from '../../parts/page-head.js';
import { QueryView } from '../../parts/query-view.js';
import { ButtonLink, TextLink } from '../../parts/text-link.js';
import { ReviewMark } from './review-mark.js';

const COLUMNS: readonly DataColumn<Review>[] = [
  {
    id: 'revision',
    title: 'Revision',
    render: ({ revisionId, revisionLabel }) => (
      <TextLink to="/revisions/$revisionId" params={{ revisionId }}>
        {revisionLabel}
      </TextLink>
    ),
  },
  { id: 'state', title: 'State', isShort: true, render: ({ state }) => <ReviewMark state={state} /> },
  {
    id: 'requested',
    title: 'Requested',
    render: ({ requestedAt, requestedByName }) => (
      <>
        <Instant at={requestedAt} /> by {requestedByName}
      </>
    ),
  },
  { id: 'note', title: 'Note', render: ({ note }) => note, distinct: ({ note }) => note || null },
  {
    id: 'decided',
    title: 'Decided',
    render: ({ decidedAt, decidedByName }) =>
      decidedAt !== null && (
        <>
          <Instant at={decidedAt} /> by {decidedByName}
        </>
      ),
    distinct: ({ decidedAt }) => decidedAt,
  },
  { id: 'reason', title: 'Reason', render: ({ reason }) => reason, distinct: ({ reason }) => reason },
  {
    id: 'mine',
    title: 'Waits for',
    render: ({ state, mayDecide, whyNot }) => (state !== 'open' ? 'nobody' : mayDecide ? 'you' : whyNot),
  },
];

const CSV_COLUMNS: readonly CsvColumn<Review>[] = [
  { header: 'review', cell: ({ id }) => id },
  { header: 'revision', cell: ({ revisionId }) => revisionId },
  { header: 'label', cell: ({ revisionLabel }) => revisionLabel },
  { header: 'sha256', cell: ({ contentHash }) => contentHash },
  { header: 'state', cell: ({ state }) => state },
  { header: 'requested at', cell: ({ requestedAt }) => requestedAt },
  { header: 'requested by', cell: ({ requestedByName }) => requestedByName },
  { header: 'note', cell: ({ note }) => note },
  { header: 'decided at', cell: ({ decidedAt }) => decidedAt },
  { header: 'decided by', cell: ({ decidedByName }) => decidedByName },
  { header: 'reason', cell: ({ reason }) => reason },
];

const STATES: readonly { readonly value: ReviewState; readonly label: string }[] = [
  { value: 'open', label: 'Open' },
  { value: 'approved', label: 'Approved' },
  { value: 'sentBack', label: 'Sent back' },
  { value: 'withdrawn', label: 'Withdrawn' },
];

/** Revisions that wait for somebody's eyes, newest first. */
export function ReviewsPage() {
  const { state = 'open' } = useSearch({ from: '/house/reviews' });
  const navigate = useNavigate();
  const reviews = useQuery(reviewQueries.list(state));
  return (
    <>
      <PageHead
        title="Reviews"
        lead="A revision goes into cars only after somebody who did not make it has read it. Open one to see its differences, findings and evidence, to comment and to decide."
        actions={
          <>
            <SegmentedControl
              size="xs"
              aria-label="State of the reviews"
              data={[...STATES]}
              value={state}
              onChange={(next) =>
                void navigate({
                  to: '/reviews',
                  search: { state: next === 'open' ? undefined : (next as ReviewState) },
                })
              }
            />
            <CsvButton
              fileName={csvFileName('reviews', state)}
              columns={CSV_COLUMNS}
              rows={reviews.data?.items ?? []}
            />
          </>
        }
      />
      <QueryView
        query={reviews}
        isEmpty={({ items }) => items.length === 0}
        empty={
          <EmptyState
            title={state === 'open' ? 'No review is open' : 'None'}
            action={<ButtonLink to="/calibrations">Calibrations</ButtonLink>}
          >
            A maintainer requests a review on the page of a revision.
          </EmptyState>
        }
      >
        {({ items }) => <DataTable label="Reviews" columns={COLUMNS} rows={items} rowId={({ id }) => id} />}
      </QueryView>
    </>
  );
}
