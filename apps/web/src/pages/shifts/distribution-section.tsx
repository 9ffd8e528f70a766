import type { ShiftFilter, ShiftRow } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { lazy, Suspense, useMemo } from 'react';
import { shiftQueries } from '../../api/shifts.js';
import { csvFileName } from '../../format/csv.js';
import { counted, formatCount, formatQuantity } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import { quantile } from './quantile.js';

const HEIGHT_PX = 160;

/** Drawing comes after the figures. */
const Histogram = lazy(async () => ({ default: (await import('./histogram.js')).Histogram }));

/** The measures that shifts are ordered by, and so drawn by; without an order it is the flare. */
const MEASURES = {
  flareRpm: { title: 'Flare', unit: 'rpm' },
  tieUpDepth: { title: 'Tie-up depth', unit: 'm/s²' },
  peakJerk: { title: 'Peak jerk', unit: 'm/s³' },
  inertiaTimeS: { title: 'Inertia time', unit: 's' },
} as const;

type DrawnMeasure = keyof typeof MEASURES;

interface DistributionSectionProps {
  readonly filter: ShiftFilter;
  readonly measure: DrawnMeasure;
}

/**
 * How a measure spreads over the shifts that match. Flares are few, so the largest are asked for, which commonly are
 * all; of the other measures the newest shifts are a fair sample.
 */
export function DistributionSection({ filter, measure }: DistributionSectionProps) {
  const query = useQuery(shiftQueries.first(filter, measure === 'flareRpm' ? 'flareRpm' : 'newest'));
  const { title, unit } = MEASURES[measure];
  const shifts = query.data?.shifts ?? [];
  return (
    <Section
      title={`Distribution of ${title.toLowerCase()}`}
      actions={
        <CsvButton
          fileName={csvFileName('distribution', measure)}
          columns={[
            { header: 'shift', cell: (shift: ShiftRow) => shift.id },
            { header: `${title.toLowerCase()} (${unit})`, cell: (shift: ShiftRow) => shift[measure] },
          ]}
          rows={shifts}
        />
      }
    >
      <QueryView query={query} skeleton={<BlockSkeleton height={HEIGHT_PX} />}>
        {(data) => <Distribution shifts={data.shifts} totalCount={data.totalCount} measure={measure} />}
      </QueryView>
    </Section>
  );
}

interface DistributionProps {
  readonly shifts: readonly ShiftRow[];
  readonly totalCount: number;
  readonly measure: DrawnMeasure;
}

function Distribution({ shifts, totalCount, measure }: DistributionProps) {
  const { title, unit } = MEASURES[measure];
  const values = useMemo(() => drawnValues(shifts, measure), [shifts, measure]);
  const drawn = describeDrawn(values.length, { asked: shifts.length, totalCount, measure });
  if (values.length === 0) return <p>{drawn}.</p>;
  const half = `half of these lie below ${formatQuantity(quantile(values, 0.5), unit)}`;
  const most = `nine in ten below ${formatQuantity(quantile(values, 0.9), unit)}`;
  return (
    <>
      <p style={{ margin: '0 0 6px', fontSize: 13 }}>
        {drawn}; {half}, {most}.
      </p>
      <Suspense fallback={<BlockSkeleton height={HEIGHT_PX} />}>
        <Histogram
          values={values}
          axisLabel={`${title} (${unit})`}
          label={`Histogram of ${title.toLowerCase()}: ${half}, ${most}`}
          height={HEIGHT_PX}
        />
      </Suspense>
    </>
  );
}

function describeDrawn(
  drawnCount: number,
  { asked, totalCount, measure }: { asked: number; totalCount: number; measure: DrawnMeasure },
): string {
  const drawn = formatCount(drawnCount);
  const all = counted(totalCount, 'shift');
  if (measure === 'flareRpm') {
    const isCut = drawnCount === asked && asked < totalCount;
    return isCut ? `The ${drawn} largest flares of ${all}` : `${drawn} of ${all} leave the line beyond the tolerance`;
  }
  return asked < totalCount
    ? `The newest ${drawn} of ${all} with this measure`
    : `${drawn} of ${all} have this measure`;
}

/** A flare of 0 rpm means that there was none: drawn, it would hide the others. */
function drawnValues(shifts: readonly ShiftRow[], measure: DrawnMeasure): number[] {
  const values = shifts.map((shift) => shift[measure]).filter((value) => value !== null);
  return measure === 'flareRpm' ? values.filter((flareRpm) => flareRpm > 0) : values;
}
