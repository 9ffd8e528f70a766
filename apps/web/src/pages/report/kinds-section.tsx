import type { Rate, ReportResponse } from '@syncline/contract';
import { csvFileName } from '../../format/csv.js';
import { kindWords } from '../../format/gear-words.js';
import { counted } from '../../format/quantity.js';
import { formatInterval, formatShare } from '../../format/rate.js';
import { endOf } from '../../format/rate-columns.js';
import { CsvButton } from '../../parts/csv-button.js';
import { GradeTally } from '../../parts/grade-tally.js';
import { Section } from '../../parts/section.js';
import classes from './report.module.css';

type Kind = ReportResponse['kinds'][number];
type Counts = ReportResponse['total'];

const RATES = [
  ['flare', 'flare'],
  ['tieUp', 'tie-up'],
  ['harsh', 'harsh'],
  ['slow', 'slow'],
] as const;

/** The shifts of the drive by kind, with their grades and with the rates that so few shifts allow. */
export function KindsSection({ report: { kinds, total, log } }: { readonly report: ReportResponse }) {
  return (
    <Section
      title="Shifts by kind"
      note="A rate is out of the shifts in which the log could tell, with the range that it lies in with 95 % confidence. Out of fewer than ten none is given."
      actions={
        <span className="only-screen">
          <CsvButton fileName={csvFileName('report', log.fileName)} columns={CSV_COLUMNS} rows={kinds} />
        </span>
      }
    >
      {kinds.length === 0 ? (
        <p>
          No shift was found: the car stayed in one gear, or the ratio could not be read. What was doubtful says which.
        </p>
      ) : (
        // Roles are written out because the layout of a phone changes `display`, which takes them away.
        // oxlint-disable-next-line jsx-a11y/no-redundant-roles
        <table className={classes.kinds} role="table" aria-label="Shifts by kind">
          <thead role="rowgroup">
            <tr role="row">
              <th role="columnheader">Shift</th>
              <th role="columnheader">Grades</th>
              <th role="columnheader">Rates</th>
            </tr>
          </thead>
          <tbody role="rowgroup">
            <KindRow name="All kinds" counts={total} />
            {kinds.map((kind) => (
              <KindRow key={kind.kind} name={`${kind.kind}, ${kindWords(kind)}`} counts={kind} />
            ))}
          </tbody>
        </table>
      )}
    </Section>
  );
}

function KindRow({ name, counts }: { readonly name: string; readonly counts: Counts }) {
  const told = RATES.flatMap(([key, word]) => rateWords(counts[key], word));
  return (
    <tr role="row">
      <th role="rowheader">
        {name} <span className={classes.count}>{counted(counts.shifts, 'shift')}</span>
      </th>
      <td role="cell">
        <GradeTally grades={counts.grades} />
      </td>
      <td role="cell">{told.length === 0 ? <span className="hatched">too few for a rate</span> : told.join('; ')}</td>
    </tr>
  );
}

/** A rate with its interval, where there is one. */
function rateWords(rate: Rate, word: string): string[] {
  if (rate.kind === 'insufficient') return [];
  return [`${word} ${formatShare(rate.rate)} (${formatInterval(rate.low, rate.high)})`];
}

const rateColumns = (word: string, key: (typeof RATES)[number][0]) => [
  { header: `${word} rate (share)`, cell: (kind: Kind) => endOf(kind[key], 'rate') },
  { header: `${word} low (share)`, cell: (kind: Kind) => endOf(kind[key], 'low') },
  { header: `${word} high (share)`, cell: (kind: Kind) => endOf(kind[key], 'high') },
  { header: `${word} told in (shifts)`, cell: (kind: Kind) => kind[key].shifts },
];

const gradeColumn = (grade: string) => ({ header: grade, cell: (kind: Kind) => kind.grades[grade] ?? 0 });

const CSV_COLUMNS = [
  { header: 'shift', cell: (kind: Kind) => kind.kind },
  { header: 'shifts', cell: (kind: Kind) => kind.shifts },
  ...['clean', 'flare', 'tie-up', 'harsh', 'slow', 'incomplete'].map(gradeColumn),
  ...RATES.flatMap(([key, word]) => rateColumns(word, key)),
];
