import type { LogQuality } from '@syncline/contract';
import { csvFileName } from '../../format/csv.js';
import { formatCount } from '../../format/quantity.js';
import { formatDuration, formatElapsed } from '../../format/time.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import classes from './log.module.css';
import { titleOf } from './quality-findings.js';

type Join = NonNullable<LogQuality['join']>;
type Joined = Join['signals'][number];

const RULE_WORDS: Record<Joined['rule'], string> = {
  linear: 'straight line between samples',
  hold: 'last sample held',
};

const COLUMNS: readonly DataColumn<Joined>[] = [
  { id: 'signal', title: 'Signal', render: ({ signal }) => titleOf(signal) },
  { id: 'samples', title: 'Samples', isNumber: true, render: ({ sampleCount }) => formatCount(sampleCount) },
  { id: 'rule', title: 'Between them', render: ({ rule }) => RULE_WORDS[rule] },
  { id: 'gap', title: 'Longest without', isNumber: true, render: ({ largestGapS }) => formatDuration(largestGapS) },
  {
    id: 'start',
    title: 'From',
    isNumber: true,
    render: ({ largestGapStartS }) => (largestGapStartS === null ? '–' : formatElapsed(Math.max(0, largestGapStartS))),
  },
];

const CSV_COLUMNS = [
  { header: 'signal', cell: ({ signal }: Joined) => signal },
  { header: 'samples', cell: ({ sampleCount }: Joined) => sampleCount },
  { header: 'rule', cell: ({ rule }: Joined) => rule },
  { header: 'longest gap (s)', cell: ({ largestGapS }: Joined) => largestGapS },
  { header: 'its start (s)', cell: ({ largestGapStartS }: Joined) => largestGapStartS },
];

/** How signals of different rates came to one time base. */
export function JoinTable({ join, fileName }: { readonly join: Join; readonly fileName: string }) {
  return (
    <>
      <p className={classes.small}>
        {join.base === null
          ? 'The log holds no sample.'
          : `Signals came at different rates; rows stand at the moments of ${titleOf(join.base).toLowerCase()}.`}
      </p>
      <DataTable label="Joined signals" columns={COLUMNS} rows={join.signals} rowId={({ signal }) => signal} />
      <CsvButton fileName={csvFileName(fileName, 'joined-signals')} columns={CSV_COLUMNS} rows={join.signals} />
    </>
  );
}
