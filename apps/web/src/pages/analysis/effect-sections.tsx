import type { AnalysisRun, EffectOnShifts, Rate, RunEffect } from '@syncline/contract';
import { csvFileName } from '../../format/csv.js';
import { formatCount } from '../../format/quantity.js';
import { formatInterval, formatShare, formatTooFew } from '../../format/rate.js';
import { endOf } from '../../format/rate-columns.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { GradeMark } from '../../parts/grade-mark.js';
import { Section } from '../../parts/section.js';

interface EffectRow extends EffectOnShifts {
  readonly kind: string;
}

interface GradeRow {
  readonly kind: string;
  readonly change: EffectOnShifts['grades'][number];
}

interface EffectSectionsProps {
  readonly run: AnalysisRun;
  readonly effect: RunEffect;
}

/** What a run changes: shifts found, lost and graded otherwise, rates before and after, by kind and by grade. */
export function EffectSections({ run, effect }: EffectSectionsProps) {
  const rows: readonly EffectRow[] = [{ kind: ALL, ...effect.total }, ...effect.kinds];
  const grades = rows.flatMap(({ kind, grades: ofKind }) =>
    ofKind.filter(isChanged).map((change): GradeRow => ({ kind, change })),
  );
  return (
    <>
      <Section
        title="Effect by kind"
        note="Shifts of the logs that have their new result, as pages show them and under the run. A shift is the same where its kind agrees and its command lies within half a second."
        actions={<CsvButton fileName={csvFileName('analysis', run.id, 'kinds')} columns={KIND_CSV} rows={rows} />}
      >
        <DataTable label="Effect by kind" columns={KIND_COLUMNS} rows={rows} rowId={({ kind }) => kind} />
      </Section>
      <Section
        title="Effect by grade"
        note="Gained and lost count shifts of both results; those found or lost are counted above."
        actions={<CsvButton fileName={csvFileName('analysis', run.id, 'grades')} columns={GRADE_CSV} rows={grades} />}
      >
        {grades.length === 0 ? (
          <p>No shift changes its grades.</p>
        ) : (
          <DataTable
            label="Effect by grade"
            columns={GRADE_COLUMNS}
            rows={grades}
            rowId={({ kind, change }) => `${kind} ${change.grade}`}
          />
        )}
      </Section>
    </>
  );
}

const ALL = 'all';

function isChanged({ before, after, gained, dropped }: EffectOnShifts['grades'][number]): boolean {
  return before !== after || gained + dropped > 0;
}

function count(title: string, valueOf: (row: EffectRow) => number): DataColumn<EffectRow> {
  return { id: title, title, isNumber: true, render: (row) => formatCount(valueOf(row)) };
}

function rates(title: string, key: keyof EffectOnShifts['rates']): DataColumn<EffectRow> {
  return {
    id: key,
    title,
    render: ({ rates: all }) => (
      <span style={{ display: 'grid' }}>
        <span>{rateText(all[key].before)}</span>
        <span>→ {rateText(all[key].after)}</span>
      </span>
    ),
  };
}

function rateText(rate: Rate): string {
  if (rate.kind === 'insufficient') return formatTooFew(rate);
  return `${formatShare(rate.rate)} (${formatInterval(rate.low, rate.high)})`;
}

const KIND_COLUMNS: readonly DataColumn<EffectRow>[] = [
  { id: 'kind', title: 'Shift', isShort: true, render: ({ kind }) => kind },
  count('Before', ({ before }) => before),
  count('After', ({ after }) => after),
  count('Found', ({ found }) => found),
  count('Lost', ({ lost }) => lost),
  count('Graded otherwise', ({ regraded }) => regraded),
  rates('Flare', 'flare'),
  rates('Tie-up', 'tieUp'),
  rates('Harsh', 'harsh'),
  rates('Slow', 'slow'),
];

const GRADE_COLUMNS: readonly DataColumn<GradeRow>[] = [
  { id: 'kind', title: 'Shift', isShort: true, render: ({ kind }) => kind },
  { id: 'grade', title: 'Grade', render: ({ change }) => <GradeMark grade={change.grade} /> },
  { id: 'before', title: 'Before', isNumber: true, render: ({ change }) => formatCount(change.before) },
  { id: 'after', title: 'After', isNumber: true, render: ({ change }) => formatCount(change.after) },
  { id: 'gained', title: 'Gained', isNumber: true, render: ({ change }) => formatCount(change.gained) },
  { id: 'dropped', title: 'Lost', isNumber: true, render: ({ change }) => formatCount(change.dropped) },
];

const rateCsv = (word: string, key: keyof EffectOnShifts['rates']) =>
  (['before', 'after'] as const).flatMap((when) => [
    { header: `${word} ${when} (share)`, cell: (row: EffectRow) => endOf(row.rates[key][when], 'rate') },
    { header: `${word} ${when} low (share)`, cell: (row: EffectRow) => endOf(row.rates[key][when], 'low') },
    { header: `${word} ${when} high (share)`, cell: (row: EffectRow) => endOf(row.rates[key][when], 'high') },
  ]);

const KIND_CSV = [
  { header: 'shift', cell: (row: EffectRow) => row.kind },
  { header: 'before (shifts)', cell: (row: EffectRow) => row.before },
  { header: 'after (shifts)', cell: (row: EffectRow) => row.after },
  { header: 'found (shifts)', cell: (row: EffectRow) => row.found },
  { header: 'lost (shifts)', cell: (row: EffectRow) => row.lost },
  { header: 'graded otherwise (shifts)', cell: (row: EffectRow) => row.regraded },
  ...rateCsv('flare', 'flare'),
  ...rateCsv('tie-up', 'tieUp'),
  ...rateCsv('harsh', 'harsh'),
  ...rateCsv('slow', 'slow'),
];

const GRADE_CSV = [
  { header: 'shift', cell: (row: GradeRow) => row.kind },
  { header: 'grade', cell: (row: GradeRow) => row.change.grade },
  { header: 'before (shifts)', cell: (row: GradeRow) => row.change.before },
  { header: 'after (shifts)', cell: (row: GradeRow) => row.change.after },
  { header: 'gained (shifts)', cell: (row: GradeRow) => row.change.gained },
  { header: 'lost (shifts)', cell: (row: GradeRow) => row.change.dropped },
];
