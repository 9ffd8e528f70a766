import type { CompareDetailResponse, RevisionSummary } from '@syncline/contract';
import type { CsvColumn } from '../../format/csv.js';
import { counted, formatCount } from '../../format/quantity.js';
import { rateColumns } from '../../format/rate-columns.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { RateCell } from '../../parts/rate-cell.js';
import { TextLink } from '../../parts/text-link.js';
import { revisionLabel } from '../revision/revision-label.js';
import type { ShiftsSearch } from '../shifts/shifts-search.js';
import classes from './compare.module.css';
import { differenceColumns, effectCsvColumns, Probability } from './effect-columns.js';
import { insufficientReason } from './effect-words.js';

/** One part of the driving, under both revisions. */
export type ComparedPart = CompareDetailResponse['whole'] & {
  /** What the part is called. */
  readonly name: string;
  /** Filters of the shifts behind it, without the revision; null where they cannot be filtered for. */
  readonly search: ShiftsSearch | null;
};

interface PartTableProps {
  readonly label: string;
  readonly nameTitle: string;
  readonly parts: readonly ComparedPart[];
  readonly base: RevisionSummary;
  readonly other: RevisionSummary;
  readonly reach: number;
}

/** Parts of the driving one below the other, each adjusted beside as driven. */
export function PartTable({ label, nameTitle, parts, base, other, reach }: PartTableProps) {
  const columns: readonly DataColumn<ComparedPart>[] = [
    { id: 'name', title: nameTitle, isShort: true, render: ({ name }) => name },
    {
      id: 'base',
      title: revisionLabel(base),
      render: (part) => <PartRate part={part} revision={base} side="baseRate" />,
    },
    {
      id: 'other',
      title: revisionLabel(other),
      render: (part) => <PartRate part={part} revision={other} side="otherRate" />,
    },
    ...differenceColumns(reach),
    {
      id: 'probability',
      title: `Probability that ${revisionLabel(other)} has the lower rate`,
      render: ({ adjusted }) => <Probability effect={adjusted} />,
    },
  ];
  const told = parts.filter(isTold);
  return (
    <>
      {told.length > 0 && <DataTable label={label} columns={columns} rows={told} rowId={({ name }) => name} />}
      <Untold parts={parts.filter((part) => !isTold(part))} base={base} other={other} />
    </>
  );
}

function isTold({ adjusted, unadjusted }: ComparedPart): boolean {
  return adjusted.kind === 'estimate' || unadjusted.kind === 'estimate';
}

type UntoldProps = Pick<PartTableProps, 'parts' | 'base' | 'other'>;

/** Parts of which nothing can be told, in a line each: they would fill a table with hatching. */
function Untold({ parts, base, other }: UntoldProps) {
  if (parts.length === 0) return null;
  return (
    <div className={classes.untold}>
      <p>Nothing can be told of:</p>
      <ul>
        {parts.map((part) => (
          <li key={part.name}>
            <strong>{part.name}</strong> {part.adjusted.kind === 'insufficient' && insufficientReason(part.adjusted)};{' '}
            {revisionLabel(base)} <PartCounts part={part} revision={base} side="baseRate" />, {revisionLabel(other)}{' '}
            <PartCounts part={part} revision={other} side="otherRate" />
          </li>
        ))}
      </ul>
    </div>
  );
}

function PartCounts({ part, revision, side }: PartRateProps) {
  const { events, shifts } = part[side];
  const text = `${formatCount(events)} of ${formatCount(shifts)}`;
  if (part.search === null || shifts === 0) return text;
  return (
    <TextLink to="/shifts" search={{ ...part.search, revision: revision.id }}>
      {text}
    </TextLink>
  );
}

interface PartRateProps {
  readonly part: ComparedPart;
  readonly revision: RevisionSummary;
  readonly side: 'baseRate' | 'otherRate';
}

function PartRate({ part, revision, side }: PartRateProps) {
  const rate = part[side];
  return (
    <span className={classes.rate}>
      <RateCell rate={rate} />
      {part.search !== null && rate.shifts > 0 && (
        <TextLink to="/shifts" search={{ ...part.search, revision: revision.id }}>
          open {counted(rate.shifts, 'shift')}
        </TextLink>
      )}
    </span>
  );
}

export const PART_CSV_COLUMNS: readonly CsvColumn<ComparedPart>[] = [
  { header: 'part', cell: ({ name }) => name },
  ...rateColumns<ComparedPart>('base', ({ baseRate }) => baseRate),
  ...rateColumns<ComparedPart>('other', ({ otherRate }) => otherRate),
  ...effectCsvColumns<ComparedPart>('adjusted', ({ adjusted }) => adjusted),
  ...effectCsvColumns<ComparedPart>('as driven', ({ unadjusted }) => unadjusted),
];
