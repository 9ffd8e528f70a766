import { Button } from '@mantine/core';
import { mayDo, type PreviewState, type ProposalResponse } from '@syncline/contract';
import { usePreviewProposal } from '../../api/proposals.js';
import { useSession } from '../../api/session.js';
import { type CsvColumn, csvFileName } from '../../format/csv.js';
import { counted } from '../../format/quantity.js';
import { formatShare } from '../../format/rate.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { Section } from '../../parts/section.js';
import classes from './proposals.module.css';

type Preview = Extract<PreviewState, { kind: 'preview' }>;
type Row = Preview['byKind'][number];

const LEFT_OUT =
  'What the model leaves out: fill and timing of this revision, wear, leaks and air, wrong profiles, drivers and roads, and every point that nobody drove. It shows which way things go, not how often they will happen.';

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
      title: `${title}, now → after`,
      isNumber: true,
      render: (row) =>
        `${formatShare(row[`${id}Before`] / row.shifts)} → ${formatShare(row[`${id}After`] / row.shifts)}`,
    }),
  ),
];

const CSV_COLUMNS: readonly CsvColumn<Row>[] = [
  { header: 'shift', cell: ({ shiftKind }) => shiftKind },
  { header: 'shifts tried', cell: ({ shifts }) => shifts },
  ...PAIRS.flatMap(([id, title]): CsvColumn<Row>[] => [
    { header: `${title} now`, cell: (row) => row[`${id}Before`] },
    { header: `${title} after`, cell: (row) => row[`${id}After`] },
  ]),
];

/** The proposal on simulated cars, marked as the model that it is. */
export function PreviewSection({ proposal }: { readonly proposal: ProposalResponse }) {
  const { role } = useSession().person;
  const run = usePreviewProposal(proposal.id);
  const { preview } = proposal;
  const rows = preview.kind === 'preview' ? [...preview.byKind, { shiftKind: 'all', ...preview.total }] : [];
  return (
    <Section
      title="Bench preview (simulated)"
      note={LEFT_OUT}
      actions={
        <>
          {preview.kind === 'preview' && (
            <CsvButton
              fileName={csvFileName('bench', `r${proposal.baseRevisionNumber}`)}
              columns={CSV_COLUMNS}
              rows={rows}
            />
          )}
          {mayDo(role, 'calibration:write') && preview.kind === 'none' && (
            <Button variant="default" size="compact-sm" fw={500} loading={run.isPending} onClick={() => run.mutate()}>
              Try it on simulated cars
            </Button>
          )}
        </>
      }
    >
      {run.error !== null && <ProblemNotice error={run.error} />}
      <PreviewBody preview={preview} rows={rows} />
    </Section>
  );
}

function PreviewBody({ preview, rows }: { readonly preview: PreviewState; readonly rows: readonly Row[] }) {
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
            {counted(preview.cars, 'simulated car')} with the profiles and trims of the club’s; {preview.leftOut} more
            could not be simulated. <Instant at={preview.madeAt} />
          </p>
        </>
      );
  }
}
