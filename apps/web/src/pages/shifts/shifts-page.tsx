import { Group } from '@mantine/core';
import { useMediaQuery } from '@mantine/hooks';
import { useQuery } from '@tanstack/react-query';
import { useNavigate, useSearch } from '@tanstack/react-router';
import { useSession } from '../../api/session.js';
import { shiftQueries, shiftsCsvUrl } from '../../api/shifts.js';
import { csvFileName } from '../../format/csv.js';
import { counted } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { DataTable, informativeColumnIds } from '../../parts/data-table.js';
import { EmptyState } from '../../parts/empty-state.js';
import { PageHead } from '../../parts/page-head.js';
import { Pager } from '../../parts/pager.js';
import { QueryView } from '../../parts/query-view.js';
import { ButtonLink } from '../../parts/text-link.js';
import { ColumnChoice } from './column-choice.js';
import { DistributionSection } from './distribution-section.js';
import { SHIFT_COLUMNS, USUAL_COLUMNS } from './shift-columns.js';
import { ShiftFilters } from './shift-filters.js';
import { filterCount, filterOf, isFiltered } from './shift-view.js';
import classes from './shifts.module.css';
import type { ShiftsSearch } from './shifts-search.js';

const PAGE_SIZE = 50;

/** Every shift that was found, by any dimension; each opens its drive at that moment. */
export function ShiftsPage() {
  const search = useSearch({ from: '/house/shifts' });
  const navigate = useNavigate();
  const { role } = useSession().person;
  const isNarrow = useMediaQuery('(max-width: 980px)');
  const filter = filterOf(search);
  const sort = search.sort ?? 'newest';
  const shifts = useQuery(shiftQueries.list({ ...filter, sort, limit: PAGE_SIZE, cursor: search.cursor }));
  const go = (change: Partial<ShiftsSearch>) =>
    void navigate({
      to: '/shifts',
      search: { ...search, cursor: undefined, page: undefined, ...change },
      resetScroll: false,
    });
  const rows = shifts.data?.items ?? [];
  const usual = SHIFT_COLUMNS.filter(({ id }) => USUAL_COLUMNS.includes(id));
  const shown = search.columns?.split(',') ?? informativeColumnIds(usual, rows);
  const filters = (
    <ShiftFilters
      search={search}
      onChange={go}
      onClear={() => void navigate({ to: '/shifts', search: { sort: search.sort, columns: search.columns } })}
    />
  );
  return (
    <>
      <PageHead
        title={role === 'tester' ? 'My shifts' : 'Shifts'}
        lead={
          shifts.data &&
          `${counted(shifts.data.totalCount, 'shift')}${isFiltered(search) ? ' with these filters' : ''}, ${sort === 'newest' ? 'newest' : 'largest'} first.`
        }
        actions={
          <Group gap="xs">
            <ColumnChoice columns={SHIFT_COLUMNS} shown={shown} onChange={(ids) => go({ columns: ids?.join(',') })} />
            <CsvButton href={shiftsCsvUrl(filter)} fileName={csvFileName('shifts', ...Object.values(filter))} />
          </Group>
        }
      />
      <div className={classes.layout}>
        <details className={classes.filters} open={!isNarrow}>
          <summary>Filters ({filterCount(search)})</summary>
          {filters}
        </details>
        <div>
          <QueryView
            query={shifts}
            isEmpty={({ items }) => items.length === 0}
            empty={<NoShifts isNarrowed={isFiltered(search)} />}
          >
            {({ items, nextCursor, totalCount }) => (
              <>
                <DistributionSection filter={filter} measure={sort === 'newest' ? 'flareRpm' : sort} />
                <div style={{ opacity: shifts.isPlaceholderData ? 0.5 : 1 }} aria-busy={shifts.isPlaceholderData}>
                  <DataTable
                    label="Shifts"
                    columns={SHIFT_COLUMNS}
                    rows={items}
                    rowId={(shift) => shift.id}
                    sort={sort}
                    onSort={(order) => go({ sort: order as ShiftsSearch['sort'] })}
                    shown={shown}
                  />
                </div>
                <Pager
                  page={search.page ?? 1}
                  pageSize={PAGE_SIZE}
                  totalCount={totalCount}
                  shownCount={items.length}
                  hasNext={nextCursor !== null}
                  onNext={() => go({ cursor: nextCursor ?? undefined, page: (search.page ?? 1) + 1 })}
                  onFirst={() => go({})}
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
