import { Button } from '@mantine/core';
import { LOG_STATES, type LogState, mayDo } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useNavigate, useSearch } from '@tanstack/react-router';
import { type LogFilter, logQueries } from '../../api/logs.js';
import { useSession } from '../../api/session.js';
import { vehicleQueries } from '../../api/vehicles.js';
import { csvFileName } from '../../format/csv.js';
import { counted } from '../../format/quantity.js';
import { LOG_STATE_WORDS } from '../../format/words.js';
import { CsvButton } from '../../parts/csv-button.js';
import { DataTable } from '../../parts/data-table.js';
import { EmptyState } from '../../parts/empty-state.js';
import { FilterBar } from '../../parts/filter-bar.js';
import { LateSelect } from '../../parts/late-select.js';
import { PageHead } from '../../parts/page-head.js';
import { Pager } from '../../parts/pager.js';
import { QueryView } from '../../parts/query-view.js';
import { ButtonLink } from '../../parts/text-link.js';
import { useRevisionChoices } from '../../parts/use-revision-choices.js';
import { SEARCH_FIELD } from '../../shell/use-shell-keys.js';
import { LOG_COLUMNS, LOG_CSV_COLUMNS } from './log-columns.js';

const PAGE_SIZE = 50;

/** All drives that a person may see, newest first, with the state of each. */
export function LogsPage() {
  const search = useSearch({ from: '/house/logs' });
  const navigate = useNavigate();
  const { role } = useSession().person;
  const filter: LogFilter = {
    vehicle: search.vehicle,
    state: search.state,
    revision: search.revision,
    cursor: search.cursor,
    limit: PAGE_SIZE,
  };
  const logs = useQuery(logQueries.list(filter));
  const narrow = (change: Partial<typeof search>) =>
    void navigate({ to: '/logs', search: { ...search, cursor: undefined, page: undefined, ...change } });
  const isFiltered = search.vehicle !== undefined || search.state !== undefined || search.revision !== undefined;
  const mayUpload = mayDo(role, 'own:log:write');
  return (
    <>
      <PageHead
        title={role === 'tester' ? 'My drives' : 'Logs'}
        lead={
          logs.data === undefined
            ? '\u00a0'
            : `${counted(logs.data.totalCount, 'drive')}${isFiltered ? ' with these filters' : ''}, newest first.`
        }
        actions={
          <>
            <CsvButton
              fileName={csvFileName('logs', search.vehicle, search.state, search.revision)}
              columns={LOG_CSV_COLUMNS}
              rows={logs.data?.items ?? []}
            />
            {mayUpload && <ButtonLink to="/logs/upload">Upload drives</ButtonLink>}
          </>
        }
      />
      <LogFilters search={search} onChange={narrow} />
      <QueryView
        query={logs}
        isEmpty={({ items }) => items.length === 0}
        empty={<NoLogs isFiltered={isFiltered} mayUpload={mayUpload} />}
      >
        {({ items, nextCursor, totalCount }) => (
          <>
            <DataTable label="Drives" columns={LOG_COLUMNS} rows={items} rowId={(log) => log.id} />
            <Pager
              page={search.page ?? 1}
              pageSize={PAGE_SIZE}
              totalCount={totalCount}
              shownCount={items.length}
              hasNext={nextCursor !== null}
              onNext={() => narrow({ cursor: nextCursor ?? undefined, page: (search.page ?? 1) + 1 })}
              onFirst={() => narrow({})}
            />
          </>
        )}
      </QueryView>
    </>
  );
}

interface LogFiltersProps {
  readonly search: LogFilter;
  readonly onChange: (change: { vehicle?: string; state?: LogState; revision?: string }) => void;
}

function LogFilters({ search, onChange }: LogFiltersProps) {
  const vehicles = useQuery(vehicleQueries.list());
  const revisions = useRevisionChoices();
  return (
    <FilterBar>
      <LateSelect
        {...SEARCH_FIELD}
        label="Car"
        placeholder="All cars"
        searchable
        clearable
        w={240}
        data={(vehicles.data?.items ?? []).map(({ id, title }) => ({ value: id, label: title }))}
        value={search.vehicle ?? null}
        onChange={(value) => onChange({ vehicle: value ?? undefined })}
      />
      <LateSelect
        label="State"
        placeholder="All states"
        clearable
        w={180}
        data={LOG_STATES.map((value) => ({ value, label: LOG_STATE_WORDS[value] }))}
        value={search.state ?? null}
        onChange={(value) => onChange({ state: (value as LogState | null) ?? undefined })}
      />
      <LateSelect
        label="Revision"
        placeholder="All revisions"
        clearable
        w={200}
        data={revisions}
        value={search.revision ?? null}
        onChange={(value) => onChange({ revision: value ?? undefined })}
      />
    </FilterBar>
  );
}

function NoLogs({ isFiltered, mayUpload }: { readonly isFiltered: boolean; readonly mayUpload: boolean }) {
  if (isFiltered) {
    return (
      <EmptyState
        title="No drive matches these filters"
        action={
          <ButtonLink to="/logs" variant="default">
            Show all drives
          </ButtonLink>
        }
      >
        Take a filter away to see more.
      </EmptyState>
    );
  }
  return (
    <EmptyState
      title="No drive has been uploaded yet"
      action={
        mayUpload ? <ButtonLink to="/logs/upload">Upload drives</ButtonLink> : <Button disabled>Upload drives</Button>
      }
    >
      Record a drive, then upload the file here. Shifts are found and graded by the server.
    </EmptyState>
  );
}
