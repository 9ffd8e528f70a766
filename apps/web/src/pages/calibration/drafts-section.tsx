import type { DraftSummary } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { draftQueries } from '../../api/drafts.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { TextLink } from '../../parts/text-link.js';
import { draftKey } from '../compare/compared-content.js';

const COLUMNS: readonly DataColumn<DraftSummary>[] = [
  {
    id: 'title',
    title: 'Draft',
    render: ({ id, title }) => (
      <TextLink to="/drafts/$draftId" params={{ draftId: id }}>
        {title}
      </TextLink>
    ),
  },
  {
    id: 'from',
    title: 'From',
    render: ({ parentNumber, mergeParentNumber }) =>
      parentNumber === null
        ? 'no parent'
        : `r${parentNumber}${mergeParentNumber === null ? '' : ` and r${mergeParentNumber}`}`,
  },
  { id: 'line', title: 'Line', render: ({ line }) => line },
  {
    id: 'layout',
    title: 'Layout version',
    isNumber: true,
    render: ({ layoutVersion }) => layoutVersion,
    distinct: ({ layoutVersion }) => layoutVersion,
  },
  {
    id: 'saved',
    title: 'Saved last',
    render: ({ updatedAt, updatedByName }) => (
      <>
        <Instant at={updatedAt} />, {updatedByName}
      </>
    ),
  },
  {
    id: 'lock',
    title: 'Edited now by',
    render: ({ lock }) => (lock === null ? 'nobody' : lock.personName),
  },
  {
    id: 'compare',
    title: 'Go to',
    // Tables of two layout versions cannot be laid over each other.
    render: ({ id, parentId, origin }) =>
      parentId !== null &&
      origin !== 'migration' && (
        <TextLink to="/compare" search={{ base: parentId, other: draftKey(id) }}>
          Compare with parent
        </TextLink>
      ),
  },
];

/** The drafts of a calibration that are neither made nor discarded yet; nothing where there are none. */
export function DraftsSection({ calibrationId }: { readonly calibrationId: string }) {
  const drafts = useQuery(draftQueries.list(calibrationId));
  if (drafts.data?.items.length === 0) return null;
  return (
    <Section title="Open drafts" note="Changes that are still being worked on. None of them can reach a car.">
      <QueryView query={drafts}>
        {({ items }) => <DataTable label="Open drafts" columns={COLUMNS} rows={items} rowId={({ id }) => id} />}
      </QueryView>
    </Section>
  );
}
