import type { ExpectedRate, ProposalResponse } from '@syncline/contract';
import { type CsvColumn, csvFileName } from '../../format/csv.js';
import { formatInterval, formatShare } from '../../format/rate.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { IntervalBar } from '../../parts/interval-bar.js';
import { Section } from '../../parts/section.js';
import { GRADE_TITLES } from './proposal-words.js';
import classes from './proposals.module.css';

const CSV_COLUMNS: readonly CsvColumn<ExpectedRate>[] = [
  { header: 'grade', cell: ({ grade }) => GRADE_TITLES[grade] },
  { header: 'counted before (share)', cell: ({ before }) => before },
  { header: 'expected after (share)', cell: ({ after }) => after },
  { header: 'low (share)', cell: ({ low }) => low },
  { header: 'high (share)', cell: ({ high }) => high },
];

const SMALLEST_SCALE = 0.05;

/** What the change should do to the rates for the same driving, as a model expects it. */
export function ExpectedSection({
  proposal,
  rates,
}: {
  readonly proposal: ProposalResponse;
  readonly rates: readonly ExpectedRate[];
}) {
  if (rates.length === 0) return null;
  const max = Math.max(SMALLEST_SCALE, ...rates.flatMap(({ before, high }) => [before, high]));
  const columns: readonly DataColumn<ExpectedRate>[] = [
    { id: 'grade', title: 'Grade', render: ({ grade }) => GRADE_TITLES[grade] },
    { id: 'before', title: 'Counted now', isNumber: true, render: ({ before }) => formatShare(before) },
    { id: 'after', title: 'Expected after', isNumber: true, render: ({ after }) => formatShare(after) },
    {
      id: 'interval',
      title: 'Interval (95 %)',
      render: ({ before, after, low, high }) => (
        <span className={classes.rate}>
          {formatInterval(low, high)}
          <IntervalBar value={after} low={low} high={high} max={max} reference={before} />
        </span>
      ),
    },
    { id: 'word', title: 'In words', render: inWords },
  ];
  return (
    <Section
      title="What it should bring"
      note="For the same driving with the whole proposal. A model: the chance of a grade is taken to depend on how much pressure is missing alone. It has been off by a factor of 2.6 either way; the dashed line is the rate counted now."
      actions={
        <CsvButton
          fileName={csvFileName('expected', `r${proposal.baseRevisionNumber}`)}
          columns={CSV_COLUMNS}
          rows={rates}
        />
      }
    >
      <DataTable label="Expected rates" columns={columns} rows={rates} rowId={({ grade }) => grade} />
    </Section>
  );
}

function inWords({ before, low, high }: ExpectedRate): string {
  if (high < before) return 'should become rarer';
  return low > before ? 'may become more frequent' : 'no clear change';
}
