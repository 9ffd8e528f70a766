import type { PreviewState } from '@syncline/contract';
import type { ReactNode } from 'react';
import { type CsvColumn, csvFileName } from '../../format/csv.js';
import { counted } from '../../format/quantity.js';
import { formatShare } from '../../format/rate.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { Section } from '../../parts/section.js';
import classes from './proposals.module.css';

type Preview = Extract<PreviewState, { kind: 'preview' }>;
type Row = Preview['byKind'][number];

const LEFT_OUT =
  'A model. It leaves out fill and timing, wear, leaks and air, wrong profiles, drivers and roads, and every point that nobody drove. It shows which way things go, not how often they will happen.';

const PAIRS = [
  ['flare', 'Flare'],
  ['tieUp', 'Tie-up'],
  ['harsh', 'Harsh'],
  ['slow', 'Slow'],
] as const;

const COLUMNS: readonly DataColumn<Row>[] = [
  { id: 'kind', title: 'Shift', render: ({ shiftKind }) => shiftKind },
  { id: 'shifts', title: 'Tried', isNumber: true, render: ({ shifts }) => shifts },
  ...PAIRS.map(
    ([id, title]): DataColumn<Row> => ({
      id,
      title: `${title}, before → after`,
      isNumber: true,
      render: (row) => <Pair before={row[`${id}Before`]} after={row[`${id}After`]} shifts={row.shifts} />,
    }),
  ),
];

const CSV_COLUMNS: readonly CsvColumn<Row>[] = [
  { header: 'shift', cell: ({ shiftKind }) => shiftKind },
  { header: 'shifts tried', cell: ({ shifts }) => shifts },
  ...PAIRS.flatMap(([id, title]): CsvColumn<Row>[] => [
    { header: `${title} before`, cell: (row) => row[`${id}Before`] },
    { header: `${title} after`, cell: (row) => row[`${id}After`] },
  ]),
];

interface BenchSectionProps {
  readonly preview: PreviewState;
  /** Goes into the name of the file. */
  readonly fileParts: readonly string[];
  /** What before and after are. */
  readonly lead: ReactNode;
  readonly actions: ReactNode;
  readonly children?: ReactNode;
}

/** What simulated cars made of a change, marked as the model that it is. */
export function BenchSection({ preview, fileParts, lead, actions, children }: BenchSectionProps) {
  const rows = preview.kind === 'preview' ? [{ shiftKind: 'all', ...preview.total }, ...preview.byKind] : [];
  return (
    <Section
      title="Bench preview (simulated)"
      note={
        <>
          {lead} {LEFT_OUT}
        </>
      }
      actions={
        <>
          {preview.kind === 'preview' && (
            <CsvButton fileName={csvFileName('bench', ...fileParts)} columns={CSV_COLUMNS} rows={rows} />
          )}
          {actions}
        </>
      }
    >
      {children}
      <Result preview={preview} rows={rows} />
    </Section>
  );
}

function Result({ preview, rows }: { readonly preview: PreviewState; readonly rows: readonly Row[] }) {
  switch (preview.kind) {
    case 'none':
      return <p className={classes.soft}>Not tried yet.</p>;
    case 'running':
      return <p role="status">The simulated cars are driving; the page shows it by itself.</p>;
    case 'impossible':
      return <p>Cannot be tried: {preview.reason}</p>;
    default:
      return (
        <>
          <DataTable label="Predicted grades" columns={COLUMNS} rows={rows} rowId={({ shiftKind }) => shiftKind} />
          <p className={classes.soft}>
            {counted(preview.total.shifts, 'shift')} at points really driven, on{' '}
            {counted(preview.cars, 'simulated car')} with the profiles and trims of the club’s
            {preview.changed !== null && `; the pressure is another one at ${preview.changed} of them`}
            {preview.leftOut > 0 && `; ${preview.leftOut} more could not be simulated`}. <Instant at={preview.madeAt} />
          </p>
        </>
      );
  }
}

/** Two rates; one that changes is set off, with the way it goes as a sign. */
function Pair({ before, after, shifts }: { readonly before: number; readonly after: number; readonly shifts: number }) {
  const text = `${formatShare(before / shifts)} → ${formatShare(after / shifts)}`;
  if (before === after) return <span className={classes.same}>{text}</span>;
  return (
    <>
      {text} <span aria-hidden="true">{after < before ? '▾' : '▴'}</span>
    </>
  );
}
