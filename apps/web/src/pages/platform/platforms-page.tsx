import type { platformPage } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import type { z } from 'zod';
import { platformQueries } from '../../api/platforms.js';
import { type CsvColumn, csvFileName } from '../../format/csv.js';
import { formatCount } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { EmptyState } from '../../parts/empty-state.js';
import { HelpTerm } from '../../parts/help-term.js';
import { PageHead } from '../../parts/page-head.js';
import { QueryView } from '../../parts/query-view.js';
import { TextLink } from '../../parts/text-link.js';

type PlatformRow = z.infer<typeof platformPage>['items'][number];

const COLUMNS: readonly DataColumn<PlatformRow>[] = [
  {
    id: 'title',
    title: 'Gearbox',
    render: ({ id, title }) => (
      <TextLink to="/platforms/$platformId" params={{ platformId: id }}>
        {title}
      </TextLink>
    ),
  },
  { id: 'gears', title: 'Gears', isNumber: true, render: ({ gearCount }) => formatCount(gearCount) },
  {
    id: 'layouts',
    title: 'Layout versions',
    render: ({ layoutVersions }) => (layoutVersions.length === 0 ? 'none' : layoutVersions.join(', ')),
  },
];

const CSV_COLUMNS: readonly CsvColumn<PlatformRow>[] = [
  { header: 'platform', cell: ({ id }) => id },
  { header: 'title', cell: ({ title }) => title },
  { header: 'gears', cell: ({ gearCount }) => gearCount },
  { header: 'layout versions', cell: ({ layoutVersions }) => layoutVersions.join(' ') },
];

/** All gearboxes of the club. */
export function PlatformsPage() {
  const platforms = useQuery(platformQueries.list());
  return (
    <>
      <PageHead
        title="Gearboxes"
        lead={
          <>
            Each <HelpTerm term="platform">gearbox</HelpTerm> with its bus dialects, layouts and grading policies.
          </>
        }
        actions={
          <CsvButton fileName={csvFileName('gearboxes')} columns={CSV_COLUMNS} rows={platforms.data?.items ?? []} />
        }
      />
      <QueryView
        query={platforms}
        isEmpty={({ items }) => items.length === 0}
        empty={
          <EmptyState title="No gearbox yet">
            A maintainer enters one through the API: gears, clutches, shifts, programs and dialects.
          </EmptyState>
        }
      >
        {({ items }) => <DataTable label="Gearboxes" columns={COLUMNS} rows={items} rowId={({ id }) => id} />}
      </QueryView>
    </>
  );
}
