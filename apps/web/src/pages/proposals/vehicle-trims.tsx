import { Button } from '@mantine/core';
import { type KindTrim, mayDo, type VehicleResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { proposalQueries } from '../../api/proposals.js';
import { useSession } from '../../api/session.js';
import { type CsvColumn, csvFileName } from '../../format/csv.js';
import { counted, formatNumber } from '../../format/quantity.js';
import { formatShare } from '../../format/rate.js';
import { Caution } from '../../parts/caution.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { TextLink } from '../../parts/text-link.js';
import { lnChange, oddWords } from './proposal-words.js';
import classes from './proposals.module.css';
import { TrimBar } from './trim-bar.js';
import { type CarTrims, summaryOf, warrantOf } from './trim-words.js';

const CSV_COLUMNS: readonly CsvColumn<KindTrim>[] = [
  { header: 'shift', cell: ({ shiftKind }) => shiftKind },
  { header: 'trim of clutch torque (ln)', cell: ({ trimLn }) => trimLn },
  { header: 'standard deviation (ln)', cell: ({ sdLn }) => sdLn },
  { header: 'trim of pressure (ln)', cell: ({ pressureLn }) => pressureLn },
  { header: 'standard deviation of it (ln)', cell: ({ pressureSdLn }) => pressureSdLn },
  { header: 'shifts', cell: ({ shifts }) => shifts },
  { header: 'verdict', cell: warrantOf },
];

/** What belongs to this car and not to the map, by kind of shift, against the other cars. */
export function VehicleTrims({ vehicle }: { readonly vehicle: VehicleResponse }) {
  const query = useQuery(proposalQueries.trims(vehicle.id));
  if (query.data?.items.length === 0) return null;
  return (
    <QueryView query={query}>
      {({ items }) => {
        // Those of pressure; fill times are corrected after it.
        const trims = items.find(({ subject }) => subject.id.startsWith('rule:')) ?? items[0];
        return trims && <Trims vehicle={vehicle} trims={trims} />;
      }}
    </QueryView>
  );
}

function Trims({ vehicle, trims }: { readonly vehicle: VehicleResponse; readonly trims: CarTrims }) {
  const { role } = useSession().person;
  const { byKind, odd, subject, baseRevisionLabel } = trims;
  const reach = Math.max(0.1, 2 * trims.vehicleSd, ...byKind.map(({ trimLn, sdLn }) => Math.abs(trimLn) + 2 * sdLn));
  return (
    <Section
      title="Trims of this car"
      note={
        <>
          How much more or less {subject.title.toLowerCase()} this car asks for than the club’s other cars under{' '}
          {baseRevisionLabel}, from {counted(Math.round(trims.shifts), 'shift')},{' '}
          <Instant at={trims.madeAt} precision="day" />
          {mayDo(role, 'evidence:read') && (
            <>
              {' '}
              (
              <TextLink to="/proposals/$proposalId" params={{ proposalId: trims.proposalId }}>
                the estimate
              </TextLink>
              )
            </>
          )}
          . Cars of a club differ by about {formatShare(trims.vehicleSd)}. ± is one standard deviation, a bar reaches
          over 95 %, its thin line stands for no difference.
        </>
      }
      actions={
        <>
          <JsonButton vehicle={vehicle} trims={trims} />
          <CsvButton fileName={csvFileName('trims', vehicle.title)} columns={CSV_COLUMNS} rows={byKind} />
        </>
      }
    >
      <p>{summaryOf(trims)}</p>
      {odd.length > 0 && (
        <ul className={classes.odd}>
          {odd.map((what) => (
            <li key={what.what}>{oddWords(what, subject)}</li>
          ))}
        </ul>
      )}
      <DataTable
        label="Trims by shift"
        columns={columnsFor(reach)}
        rows={byKind}
        rowId={({ shiftKind }) => shiftKind}
      />
      <div className={classes.apart}>
        <Caution title="A trim mends no fault">
          A trim is warranted where it is larger than 3 % and than twice its own uncertainty. Before one goes into a car
          look at fluid level and temperature, at the profile and for wear: a trim hides a fault until it fails. Wrong
          pressure can damage a gearbox and endanger people; a qualified workshop comes first.
        </Caution>
      </div>
    </Section>
  );
}

function columnsFor(reach: number): readonly DataColumn<KindTrim>[] {
  return [
    { id: 'kind', title: 'Shift', render: ({ shiftKind }) => shiftKind },
    {
      id: 'trim',
      title: 'Clutch torque, this car against the others',
      render: ({ trimLn, sdLn }) => (
        <span className={classes.rate}>
          {lnChange(trimLn)} ± {formatShare(sdLn)}
          <TrimBar value={trimLn} low={trimLn - 1.96 * sdLn} high={trimLn + 1.96 * sdLn} reach={reach} />
        </span>
      ),
    },
    {
      id: 'pressure',
      title: 'In pressure',
      isNumber: true,
      render: ({ pressureLn, pressureSdLn }) =>
        pressureLn === null || pressureSdLn === null ? '–' : `${lnChange(pressureLn)} ± ${formatShare(pressureSdLn)}`,
    },
    { id: 'shifts', title: 'Shifts', isNumber: true, render: ({ shifts }) => formatNumber(shifts, 0) },
    { id: 'word', title: 'Trim', render: warrantOf },
  ];
}

function JsonButton({ vehicle, trims }: { readonly vehicle: VehicleResponse; readonly trims: CarTrims }) {
  const save = () => {
    const document_ = {
      kind: 'syncline.trims',
      vehicle: { id: vehicle.id, title: vehicle.title },
      baseRevision: { id: trims.baseRevisionId, label: trims.baseRevisionLabel },
      quantity: trims.subject,
      estimate: trims.proposalId,
      madeAt: trims.madeAt,
      trims: trims.byKind.map((own) => ({ ...own, verdict: warrantOf(own) })),
    };
    const url = URL.createObjectURL(
      new Blob([`${JSON.stringify(document_, null, 2)}\n`], { type: 'application/json' }),
    );
    const name = csvFileName('trims', vehicle.title).replace(/csv$/, 'json');
    Object.assign(document.createElement('a'), { href: url, download: name }).click();
    URL.revokeObjectURL(url);
  };
  return (
    <Button variant="default" size="compact-sm" fw={500} onClick={save}>
      Download JSON
    </Button>
  );
}
