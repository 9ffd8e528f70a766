import { Group } from '@mantine/core';
import { useMediaQuery } from '@mantine/hooks';
import { useQuery } from '@tanstack/react-query';
import { useNavigate, useSearch } from '@tanstack/react-router';
import { useMemo } from 'react';
import { useSession } from '../../api/session.js';
import { type ShiftListing, shiftQueries, shiftsCsvUrl } from '../../api/shifts.js';
import { csvFileName } from '../../format/csv.js';
import { counted } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { informativeColumnIds } from '../../parts/data-table.js';
import { EmptyState } from '../../parts/empty-state.js';
import { LateSelect } from '../../parts/late-select.js';
import { PageHead } from '../../parts/page-head.js';
import { QueryView } from '../../parts/query-view.js';
import { RowSkeletons } from '../../parts/skeletons.js';
import { ButtonLink } from '../../parts/text-link.js';
import { useOncePainted } from '../../parts/use-once-painted.js';
import { ColumnChoice } from './column-choice.js';
import { DistributionSection } from './distribution-section.js';
import { SHIFT_COLUMNS, USUAL_COLUMNS } from './shift-columns.js';
import { ShiftFilters } from './shift-filters.js';
import { ShiftTable } from './shift-table.js';
import { filterCount, filterOf, isFiltered } from './shift-view.js';
import classes from './shifts.module.css';
import type { ShiftsSearch } from './shifts-search.js';

const SORT_CHOICES = SHIFT_COLUMNS.flatMap(({ sort, title }) =>
  sort === undefined ? [] : [{ value: sort, label: sort === 'newest' ? 'Newest first' : `${title}, largest first` }],
);

/** How wide the page is, known before it is drawn: or it would be drawn twice. */
const AT_ONCE = { getInitialValueInEffect: false };

/** Every shift that was found, by any dimension; each opens its drive at that moment. */
export function ShiftsPage() {
  const search = useSearch({ from: '/house/shifts' });
  const navigate = useNavigate();
  const { role } = useSession().person;
  const isNarrow = useMediaQuery('(max-width: 980px)', false, AT_ONCE);
  const isCards = useMediaQuery('(max-width: 720px)', false, AT_ONCE);
  const sort = search.sort ?? 'newest';
  const listing = useMemo<ShiftListing>(() => ({ ...filterOf(search), sort }), [search, sort]);
  const { sort: _, ...filter } = listing;
  const facets = useQuery(shiftQueries.facets(filter)).data;
  const first = useQuery(shiftQueries.page(listing, undefined));
  // The list is drawn first: filters, of which there are many, and the plot have their room and come after it.
  const hasList = useOncePainted(!first.isPending);
  const go = (change: Partial<ShiftsSearch>) =>
    void navigate({ to: '/shifts', search: { ...search, ...change }, resetScroll: false });
  // What is empty or constant is told from the first page: a column must not come and go while the list is scrolled.
  const usual = SHIFT_COLUMNS.filter(({ id }) => USUAL_COLUMNS.includes(id));
  const shown = search.columns?.split(',') ?? informativeColumnIds(usual, first.data?.items ?? []);
  const columns = SHIFT_COLUMNS.filter((column) => shown.includes(column.id) || column.sort === sort);
  return (
    <>
      <PageHead
        title={role === 'tester' ? 'My shifts' : 'Shifts'}
        lead={
          first.data === undefined
            ? '\u00a0'
            : `${counted(first.data.totalCount, 'shift')}${isFiltered(search) ? ' with these filters' : ''}, ${sort === 'newest' ? 'newest' : 'largest'} first.`
        }
        actions={
          <Group gap="xs">
            {isCards && (
              <LateSelect
                aria-label="Order of the list"
                size="xs"
                w={148}
                allowDeselect={false}
                data={SORT_CHOICES}
                value={sort}
                onChange={(order) => go({ sort: (order as ShiftsSearch['sort'] | null) ?? undefined })}
              />
            )}
            <ColumnChoice
              columns={SHIFT_COLUMNS}
              shown={columns.map(({ id }) => id)}
              onChange={(ids) => go({ columns: ids?.join(',') })}
            />
            <CsvButton href={shiftsCsvUrl(filter)} fileName={csvFileName('shifts', ...Object.values(filter))} />
          </Group>
        }
      />
      <div className={classes.layout}>
        <details className={classes.filters} open={!isNarrow}>
          <summary>Filters ({filterCount(search)})</summary>
          {hasList ? (
            <ShiftFilters
              search={search}
              facets={facets}
              onChange={go}
              onClear={() =>
                void navigate({
                  to: '/shifts',
                  search: { sort: search.sort, columns: search.columns, quantity: search.quantity },
                  resetScroll: false,
                })
              }
            />
          ) : (
            <RowSkeletons />
          )}
        </details>
        <div>
          <QueryView
            query={first}
            isEmpty={({ items }) => items.length === 0}
            empty={<NoShifts isNarrowed={isFiltered(search)} />}
          >
            {({ totalCount }) => (
              <>
                <DistributionSection search={search} hasList={hasList} onChange={go} />
                <ShiftTable
                  key={JSON.stringify([listing, isCards])}
                  listing={listing}
                  columns={columns}
                  totalCount={totalCount}
                  isCards={isCards}
                  onSort={(order) => go({ sort: order as ShiftsSearch['sort'] })}
                />
              </>
            )}
          </QueryView>
        </div>
      </div>
    </>
  );
}

function NoShifts({ isNarrowed }: { readonly isNarrowed: boolean }) {
  if (isNarrowed) {
    return (
      <EmptyState
        title="No shift matches these filters"
        action={
          <ButtonLink variant="default" to="/shifts">
            Show all shifts
          </ButtonLink>
        }
      >
        Take a filter away, or drive there: Fleet lists the coverage gaps.
      </EmptyState>
    );
  }
  return (
    <EmptyState title="No shift has been found yet" action={<ButtonLink to="/logs/upload">Upload drives</ButtonLink>}>
      Shifts are found in drives as soon as they are analysed.
    </EmptyState>
  );
}
