import type { CompareSpreadsResponse, RevisionSummary } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { calibrationQueries } from '../../api/calibrations.js';
import { EffectBar } from '../../charts/effect-bar.js';
import { csvFileName } from '../../format/csv.js';
import { isMeasuredQuantity, MEASURED } from '../../format/measured.js';
import { counted, formatChange, formatQuantity, fullValue } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import { TextLink } from '../../parts/text-link.js';
import { revisionLabel } from '../revision/revision-label.js';
import type { ShiftsSearch } from '../shifts/shifts-search.js';
import classes from './compare.module.css';
import { effectCsvColumns, Probability } from './effect-columns.js';
import { insufficientWords } from './effect-words.js';
import { relativeEffect, relativeReach } from './spread-scale.js';

type Compared = CompareSpreadsResponse['measures'][number];

interface Pair {
  readonly base: RevisionSummary;
  readonly other: RevisionSummary;
}

/** How the measured quantities differ in the mean, cars set against themselves. */
export function SpreadsSection({ base, other }: Pair) {
  const query = useQuery(calibrationQueries.compareSpreads(base.id, other.id));
  return (
    <Section
      title="Measured quantities"
      note={`Means over all shifts, and the difference ${revisionLabel(other)} minus ${revisionLabel(base)} adjusted for the cars: each is set against itself. Bars are shares of the mean of ${revisionLabel(base)}, left of the middle line is less. Less flare, jerk, tie-up and heat are better; a shorter time is not by itself, it is paid for with jerk.`}
      actions={
        <CsvButton
          fileName={csvFileName('compare', revisionLabel(base), revisionLabel(other), 'quantities')}
          columns={CSV_COLUMNS}
          rows={query.data?.measures ?? []}
        />
      }
    >
      <QueryView
        query={query}
        skeleton={<BlockSkeleton height={240} />}
        isEmpty={({ measures }) => measures.length === 0}
        empty="Nothing was measured under both."
      >
        {({ measures }) => (
          <DataTable
            label="Differences of measured quantities"
            columns={spreadColumns({ base, other }, relativeReach(measures))}
            rows={measures}
            rowId={({ measure }) => measure}
          />
        )}
      </QueryView>
    </Section>
  );
}

function spreadColumns({ base, other }: Pair, reach: number): readonly DataColumn<Compared>[] {
  return [
    { id: 'measure', title: 'Quantity', isShort: true, render: ({ measure }) => nameOf(measure).title },
    {
      id: 'base',
      title: revisionLabel(base),
      render: ({ measure, baseMean, baseShifts }) => (
        <Mean measure={measure} mean={baseMean} shifts={baseShifts} revision={base} />
      ),
    },
    {
      id: 'other',
      title: revisionLabel(other),
      render: ({ measure, otherMean, otherShifts }) => (
        <Mean measure={measure} mean={otherMean} shifts={otherShifts} revision={other} />
      ),
    },
    { id: 'adjusted', title: 'Difference, adjusted', render: (row) => <Difference row={row} reach={reach} /> },
    {
      id: 'probability',
      title: `Probability that ${revisionLabel(other)} has less`,
      render: ({ adjusted }) => <Probability effect={adjusted} />,
    },
  ];
}

interface MeanProps {
  readonly measure: string;
  readonly mean: number | null;
  readonly shifts: number;
  readonly revision: RevisionSummary;
}

function Mean({ measure, mean, shifts, revision }: MeanProps) {
  const { unit } = nameOf(measure);
  const search: ShiftsSearch = { revision: revision.id, ...(isMeasuredQuantity(measure) && { quantity: measure }) };
  return (
    <span className={classes.rate}>
      <span title={fullValue(mean, unit)}>{formatQuantity(mean, unit)}</span>
      {shifts > 0 && (
        <TextLink to="/shifts" search={search}>
          {counted(shifts, 'shift')}
        </TextLink>
      )}
    </span>
  );
}

function Difference({ row, reach }: { readonly row: Compared; readonly reach: number }) {
  const { measure, adjusted } = row;
  if (adjusted.kind === 'insufficient') {
    // Of a quantity it is the values that lack, not events.
    const words =
      adjusted.reason === 'tooFewEvents' ? 'cannot tell: its values do not vary' : insufficientWords(adjusted);
    return <span className={`${classes.insufficient} hatched`}>{words}</span>;
  }
  const { unit } = nameOf(measure);
  const relative = relativeEffect(row);
  return (
    <span className={classes.effect} title={fullValue(adjusted.difference, unit)}>
      <span>
        <strong>{formatChange(adjusted.difference, unit)}</strong>{' '}
        <span className={classes.soft}>
          ({formatChange(adjusted.low, unit)} to {formatChange(adjusted.high, unit)})
        </span>
      </span>
      {relative !== null && <EffectBar {...relative} reach={reach} />}
    </span>
  );
}

function nameOf(measure: string): { readonly title: string; readonly unit: string } {
  return isMeasuredQuantity(measure) ? MEASURED[measure] : { title: measure, unit: '' };
}

const CSV_COLUMNS = [
  { header: 'quantity', cell: ({ measure }: Compared) => nameOf(measure).title },
  { header: 'unit', cell: ({ measure }: Compared) => nameOf(measure).unit },
  { header: 'base mean', cell: ({ baseMean }: Compared) => baseMean },
  { header: 'base shifts', cell: ({ baseShifts }: Compared) => baseShifts },
  { header: 'other mean', cell: ({ otherMean }: Compared) => otherMean },
  { header: 'other shifts', cell: ({ otherShifts }: Compared) => otherShifts },
  ...effectCsvColumns<Compared>('adjusted', ({ adjusted }) => adjusted, 'unit of the quantity'),
];
