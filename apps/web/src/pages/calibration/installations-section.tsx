import { Select } from '@mantine/core';
import type { CalibrationResponse } from '@syncline/contract';
import { useNavigate, useSearch } from '@tanstack/react-router';
import { type CsvColumn, csvFileName } from '../../format/csv.js';
import { counted } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { EmptyState } from '../../parts/empty-state.js';
import { FilterBar } from '../../parts/filter-bar.js';
import { Instant } from '../../parts/instant.js';
import { Section } from '../../parts/section.js';
import { ButtonLink, TextLink } from '../../parts/text-link.js';

type Installation = CalibrationResponse['installations'][number];

const COLUMNS: readonly DataColumn<Installation>[] = [
  {
    id: 'vehicle',
    title: 'Car',
    render: ({ vehicleId, vehicleTitle }) => (
      <TextLink to="/vehicles/$vehicleId" params={{ vehicleId }}>
        {vehicleTitle}
      </TextLink>
    ),
  },
  {
    id: 'revision',
    title: 'Runs',
    render: ({ revisionId, revisionNumber }) => (
      <TextLink to="/revisions/$revisionId" params={{ revisionId }}>
        r{revisionNumber}
      </TextLink>
    ),
  },
  { id: 'since', title: 'Since', render: ({ sinceAt }) => <Instant at={sinceAt} /> },
];

const CSV_COLUMNS: readonly CsvColumn<Installation>[] = [
  { header: 'vehicle', cell: ({ vehicleId }) => vehicleId },
  { header: 'title', cell: ({ vehicleTitle }) => vehicleTitle },
  { header: 'revision number', cell: ({ revisionNumber }) => revisionNumber },
  { header: 'since', cell: ({ sinceAt }) => sinceAt },
];

/** The cars that run a revision of this calibration now, newest revision first. */
export function InstallationsSection({ calibration }: { readonly calibration: CalibrationResponse }) {
  const { runs } = useSearch({ from: '/house/calibrations/$calibrationId' });
  const navigate = useNavigate();
  const { installations, revisions, id, title } = calibration;
  const rows = installations
    .filter(({ revisionId }) => runs === undefined || revisionId === runs)
    .sort((a, b) => b.revisionNumber - a.revisionNumber || a.vehicleTitle.localeCompare(b.vehicleTitle, 'en'));
  const choices = [...revisions]
    .sort((a, b) => b.number - a.number)
    .map(({ id: value, number }) => ({ value, label: `r${number}` }));
  return (
    <Section
      title="Installed in"
      note={`${counted(rows.length, 'car')}${runs === undefined ? '' : ' with this revision'}.`}
      actions={
        <CsvButton
          fileName={csvFileName('calibration', title, 'cars', choices.find(({ value }) => value === runs)?.label)}
          columns={CSV_COLUMNS}
          rows={rows}
        />
      }
    >
      {installations.length === 0 ? (
        <EmptyState title="No car runs it" action={<ButtonLink to="/vehicles">Vehicles</ButtonLink>}>
          Record on the page of a car which revision it runs.
        </EmptyState>
      ) : (
        <>
          <FilterBar>
            <Select
              label="Revision"
              placeholder="All revisions"
              clearable
              w={170}
              data={choices}
              value={runs ?? null}
              onChange={(value) =>
                void navigate({
                  to: '/calibrations/$calibrationId',
                  params: { calibrationId: id },
                  search: { runs: value ?? undefined },
                  resetScroll: false,
                })
              }
            />
          </FilterBar>
          <DataTable label="Cars" columns={COLUMNS} rows={rows} rowId={({ vehicleId }) => vehicleId} />
        </>
      )}
    </Section>
  );
}
