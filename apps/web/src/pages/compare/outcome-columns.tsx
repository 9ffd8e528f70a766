import { VisuallyHidden } from '@mantine/core';
import type { CompareOutcomesResponse, OutcomeMeasure, Rate, RevisionSummary } from '@syncline/contract';
import type { CsvColumn } from '../../format/csv.js';
import { counted } from '../../format/quantity.js';
import { rateColumns } from '../../format/rate-columns.js';
import type { DataColumn } from '../../parts/data-table.js';
import { GradeMark } from '../../parts/grade-mark.js';
import { RateCell } from '../../parts/rate-cell.js';
import { TextLink } from '../../parts/text-link.js';
import { SORT_OF_MEASURE } from '../fleet/fleet-view.js';
import { revisionLabel } from '../revision/revision-label.js';
import classes from './compare.module.css';
import type { CompareSearch } from './compare-search.js';
import { differenceColumns, effectCsvColumns, Probability } from './effect-columns.js';

type Measured = CompareOutcomesResponse['measures'][number];

interface OutcomeContext extends Pick<CompareOutcomesResponse, 'base' | 'other'> {
  /** What the address says now; a measure is opened by a link that changes it. */
  readonly search: CompareSearch;
  /** The bars reach this far to both sides, as a share. */
  readonly reach: number;
}

/** Columns of the outcome table; its first is the way to the measure taken apart. */
export function outcomeColumns({ base, other, search, reach }: OutcomeContext): readonly DataColumn<Measured>[] {
  return [
    {
      id: 'measure',
      title: 'Measure',
      isShort: true,
      render: ({ measure }) => (
        <TextLink to="/compare" search={{ ...search, measure }} resetScroll={false}>
          <GradeMark grade={measure} />
        </TextLink>
      ),
    },
    {
      id: 'base',
      title: revisionLabel(base),
      render: ({ measure, baseRate }) => <RateAndShifts revision={base} measure={measure} rate={baseRate} />,
    },
    {
      id: 'other',
      title: revisionLabel(other),
      render: ({ measure, otherRate }) => <RateAndShifts revision={other} measure={measure} rate={otherRate} />,
    },
    ...differenceColumns(reach),
    {
      id: 'probability',
      title: `Probability that ${revisionLabel(other)} has the lower rate`,
      render: ({ adjusted, unadjusted }) => <Probability effect={adjusted} beside={unadjusted} />,
    },
  ];
}

interface RateAndShiftsProps {
  readonly revision: RevisionSummary;
  readonly measure: OutcomeMeasure;
  readonly rate: Rate;
}

function RateAndShifts({ revision, measure, rate }: RateAndShiftsProps) {
  return (
    <span className={classes.rate}>
      <RateCell rate={rate} />
      {rate.events > 0 && (
        <TextLink to="/shifts" search={{ revision: revision.id, grade: measure, sort: SORT_OF_MEASURE[measure] }}>
          open {counted(rate.events, 'shift')}
          <VisuallyHidden>
            {' '}
            with grade {measure} under {revisionLabel(revision)}
          </VisuallyHidden>
        </TextLink>
      )}
    </span>
  );
}

export const OUTCOME_CSV_COLUMNS: readonly CsvColumn<Measured>[] = [
  { header: 'measure', cell: ({ measure }) => measure },
  ...rateColumns<Measured>('base', ({ baseRate }) => baseRate),
  ...rateColumns<Measured>('other', ({ otherRate }) => otherRate),
  ...effectCsvColumns<Measured>('adjusted', ({ adjusted }) => adjusted),
  ...effectCsvColumns<Measured>('as driven', ({ unadjusted }) => unadjusted),
];
