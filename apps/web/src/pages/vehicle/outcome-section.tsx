import type { VehicleResponse } from '@syncline/contract';
import { type CsvColumn, csvFileName } from '../../format/csv.js';
import { endOf } from '../../format/rate-columns.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { EmptyState } from '../../parts/empty-state.js';
import { HelpTerm } from '../../parts/help-term.js';
import { RateCell } from '../../parts/rate-cell.js';
import { Section } from '../../parts/section.js';
import { ButtonLink, TextLink } from '../../parts/text-link.js';

type Outcome = VehicleResponse['outcomeByShift'][number];
type Rate = Outcome['flare'];
const SMALLEST_SCALE = 0.1;

/** How the car shifts, kind by kind, with the fleet as the dashed line. */
export function OutcomeSection({ vehicle }: { readonly vehicle: VehicleResponse }) {
  const { outcomeByShift, id, title } = vehicle;
  const barMax = Math.max(
    SMALLEST_SCALE,
    ...outcomeByShift.flatMap(({ flare, fleetFlare }) => [endOf(flare, 'high') ?? 0, endOf(fleetFlare, 'high') ?? 0]),
  );
  return (
    <Section
      title="Outcome by shift"
      note={
        <>
          <HelpTerm term="flare">Flare</HelpTerm>, <HelpTerm term="tie-up">tie-up</HelpTerm> and{' '}
          <HelpTerm term="harsh">harsh</HelpTerm> rate with <HelpTerm term="interval">95 % interval</HelpTerm>. The
          dashed line is the fleet’s flare rate for the same shift.
        </>
      }
      actions={
        <CsvButton fileName={csvFileName('vehicle', title, 'outcome')} columns={CSV_COLUMNS} rows={outcomeByShift} />
      }
    >
      {outcomeByShift.length === 0 ? (
        <EmptyState
          title="No graded shift yet"
          action={
            <ButtonLink to="/logs/upload" search={{ vehicle: id }}>
              Upload a drive
            </ButtonLink>
          }
        >
          Upload a drive of this car; its shifts are found and graded by the server.
        </EmptyState>
      ) : (
        <DataTable
          label="Outcome by shift"
          columns={outcomeColumns(id, barMax)}
          rows={outcomeByShift}
          rowId={({ kind }) => kind}
        />
      )}
    </Section>
  );
}

function outcomeColumns(vehicleId: string, barMax: number): readonly DataColumn<Outcome>[] {
  return [
    {
      id: 'kind',
      title: 'Shift',
      render: ({ kind }) => (
        <TextLink to="/shifts" search={{ vehicle: vehicleId, kind }}>
          {kind}
        </TextLink>
      ),
    },
    {
      id: 'flare',
      title: 'Flare',
      render: ({ flare, fleetFlare }) => (
        <RateCell rate={flare} barMax={barMax} reference={endOf(fleetFlare, 'rate') ?? undefined} />
      ),
    },
    { id: 'fleet', title: 'Flare in the fleet', render: ({ fleetFlare }) => <RateCell rate={fleetFlare} /> },
    { id: 'tieUp', title: 'Tie-up', render: ({ tieUp }) => <RateCell rate={tieUp} /> },
    { id: 'harsh', title: 'Harsh', render: ({ harsh }) => <RateCell rate={harsh} /> },
  ];
}

const rateColumns = (name: string, pick: (row: Outcome) => Rate): CsvColumn<Outcome>[] => [
  { header: `${name} events`, cell: (row) => pick(row).events },
  { header: `${name} shifts`, cell: (row) => pick(row).shifts },
  { header: `${name} low (share)`, cell: (row) => endOf(pick(row), 'low') },
  { header: `${name} rate (share)`, cell: (row) => endOf(pick(row), 'rate') },
  { header: `${name} high (share)`, cell: (row) => endOf(pick(row), 'high') },
];

const CSV_COLUMNS: readonly CsvColumn<Outcome>[] = [
  { header: 'shift', cell: ({ kind }) => kind },
  ...rateColumns('flare', ({ flare }) => flare),
  ...rateColumns('fleet flare', ({ fleetFlare }) => fleetFlare),
  ...rateColumns('tie-up', ({ tieUp }) => tieUp),
  ...rateColumns('harsh', ({ harsh }) => harsh),
];
