import { TextInput } from '@mantine/core';
import { DIALECT_VERDICTS, mayDo } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useNavigate, useSearch } from '@tanstack/react-router';
import { useMemo } from 'react';
import { platformQueries } from '../../api/platforms.js';
import { useSession } from '../../api/session.js';
import { vehicleQueries } from '../../api/vehicles.js';
import { csvFileName } from '../../format/csv.js';
import { counted } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { DataTable } from '../../parts/data-table.js';
import { EmptyState } from '../../parts/empty-state.js';
import { FilterBar } from '../../parts/filter-bar.js';
import { HelpTerm } from '../../parts/help-term.js';
import { LateSelect } from '../../parts/late-select.js';
import { PageHead } from '../../parts/page-head.js';
import { QueryView } from '../../parts/query-view.js';
import { ButtonLink } from '../../parts/text-link.js';
import { SEARCH_FIELD } from '../../shell/use-shell-keys.js';
import { orderVehicles } from './order-vehicles.js';
import { VEHICLE_CSV_COLUMNS, vehicleColumns } from './vehicle-columns.js';
import type { VehiclesSearch } from './vehicles-search.js';

/** The cars of the club: what they are, what they run, how they shift. */
export function VehiclesPage() {
  const search = useSearch({ from: '/house/vehicles' });
  const navigate = useNavigate();
  const { role } = useSession().person;
  const vehicles = useQuery(vehicleQueries.list());
  const narrow = (change: Partial<VehiclesSearch>) =>
    void navigate({ to: '/vehicles', search: { ...search, ...change }, replace: 'find' in change });
  const rows = useMemo(() => orderVehicles(vehicles.data?.items ?? [], search), [vehicles.data, search]);
  const columns = useMemo(() => vehicleColumns(rows), [rows]);
  return (
    <>
      <PageHead
        title="Vehicles"
        lead={
          <>
            Each <HelpTerm term="vehicle">car</HelpTerm> with the <HelpTerm term="revision">revision</HelpTerm> it runs,
            whether its <HelpTerm term="dialect">bus dialect</HelpTerm> is confirmed, and its rates with 95 % intervals.
          </>
        }
        actions={
          <>
            <CsvButton
              fileName={csvFileName('vehicles', search.find, search.verdict)}
              columns={VEHICLE_CSV_COLUMNS}
              rows={rows}
            />
            {mayDo(role, 'own:vehicle:write') && <ButtonLink to="/vehicles/new">Enter a car</ButtonLink>}
          </>
        }
      />
      <VehicleFilters search={search} onChange={narrow} />
      <QueryView query={vehicles} isEmpty={({ items }) => items.length === 0} empty={<NoVehicles />}>
        {({ totalCount }) =>
          rows.length === 0 ? (
            <EmptyState
              title="No car matches"
              action={
                <ButtonLink to="/vehicles" variant="default">
                  Show all cars
                </ButtonLink>
              }
            >
              None of {counted(totalCount, 'car')} matches these filters.
            </EmptyState>
          ) : (
            <DataTable
              label="Cars"
              columns={columns}
              rows={rows}
              rowId={(car) => car.id}
              sort={search.sort ?? 'title'}
              onSort={(sort) => narrow({ sort: sort as VehiclesSearch['sort'] })}
            />
          )
        }
      </QueryView>
    </>
  );
}

interface VehicleFiltersProps {
  readonly search: VehiclesSearch;
  readonly onChange: (change: Partial<VehiclesSearch>) => void;
}

function VehicleFilters({ search, onChange }: VehicleFiltersProps) {
  const platforms = useQuery(platformQueries.list());
  const choices = (platforms.data?.items ?? []).map(({ id, title }) => ({ value: id, label: title }));
  return (
    <FilterBar>
      <TextInput
        {...SEARCH_FIELD}
        label="Search"
        placeholder="Car, tester, engine, revision"
        w={260}
        value={search.find ?? ''}
        onChange={(event) => onChange({ find: event.currentTarget.value || undefined })}
      />
      {choices.length > 1 && (
        <LateSelect
          label="Gearbox"
          w={200}
          placeholder="All"
          clearable
          data={choices}
          value={search.platform ?? null}
          onChange={(value) => onChange({ platform: value ?? undefined })}
        />
      )}
      <LateSelect
        label="Bus dialect"
        placeholder="Any verdict"
        clearable
        w={170}
        data={[...DIALECT_VERDICTS]}
        value={search.verdict ?? null}
        onChange={(value) => onChange({ verdict: (value as VehiclesSearch['verdict'] | null) ?? undefined })}
      />
    </FilterBar>
  );
}

function NoVehicles() {
  return (
    <EmptyState title="No car has been entered yet" action={<ButtonLink to="/vehicles/new">Enter a car</ButtonLink>}>
      Enter your own, or invite testers, who then enter theirs.
    </EmptyState>
  );
}
