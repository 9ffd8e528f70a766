import { VisuallyHidden } from '@mantine/core';
import type { CompareOutcomesResponse, Effect, OutcomeMeasure, Rate, RevisionSummary } from '@syncline/contract';
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
import { EffectCell } from './effect-cell.js';
import { probabilityWords } from './effect-words.js';

type Measured = CompareOutcomesResponse['measures'][number];

/** Columns of the outcome table; the bars reach as far as `reach` to both sides. */
export function outcomeColumns(
  { base, other }: Pick<CompareOutcomesResponse, 'base' | 'other'>,
  reach: number,
): readonly DataColumn<Measured>[] {
  return [
    { id: 'measure', title: 'Measure', isShort: true, render: ({ measure }) => <GradeMark grade={measure} /> },
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
    {
      id: 'adjusted',
      title: 'Difference, adjusted',
      render: ({ adjusted }) => <EffectCell effect={adjusted} reach={reach} />,
    },
    {
      id: 'unadjusted',
      title: 'Difference, as driven',
      render: ({ unadjusted }) => <EffectCell effect={unadjusted} reach={reach} isHollow />,
    },
    {
      id: 'probability',
      title: `Probability that ${revisionLabel(other)} has the lower rate`,
      render: ({ adjusted, unadjusted }) => <Probability adjusted={adjusted} unadjusted={unadjusted} />,
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

function Probability({ adjusted, unadjusted }: { readonly adjusted: Effect; readonly unadjusted: Effect }) {
  if (adjusted.kind === 'insufficient') return <span className={classes.soft}>cannot tell</span>;
  return (
    <span className={classes.rate}>
      <strong>{probabilityWords(adjusted.probabilityBetter)}</strong>
      {unadjusted.kind === 'estimate' && (
        <span className={classes.soft}>{probabilityWords(unadjusted.probabilityBetter)} as driven</span>
      )}
    </span>
  );
}

/** What an estimate says; an empty cell where there is none. */
function estimated(effect: Effect, name: 'difference' | 'low' | 'high' | 'probabilityBetter'): number | null {
  return effect.kind === 'estimate' ? effect[name] : null;
}

const effectColumns = (name: string, of: (row: Measured) => Effect): CsvColumn<Measured>[] => [
  { header: `${name} difference (share)`, cell: (row) => estimated(of(row), 'difference') },
  { header: `${name} low (share)`, cell: (row) => estimated(of(row), 'low') },
  { header: `${name} high (share)`, cell: (row) => estimated(of(row), 'high') },
  {
    header: `${name} probability of a lower rate`,
    cell: (row) => estimated(of(row), 'probabilityBetter'),
  },
  { header: `${name} shifts`, cell: (row) => of(row).shifts },
  { header: `${name} vehicles`, cell: (row) => of(row).vehicles },
];

export const OUTCOME_CSV_COLUMNS: readonly CsvColumn<Measured>[] = [
  { header: 'measure', cell: ({ measure }) => measure },
  ...rateColumns<Measured>('base', ({ baseRate }) => baseRate),
  ...rateColumns<Measured>('other', ({ otherRate }) => otherRate),
  ...effectColumns('adjusted', ({ adjusted }) => adjusted),
  ...effectColumns('as driven', ({ unadjusted }) => unadjusted),
];
