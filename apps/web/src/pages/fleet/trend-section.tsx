import type { OutcomeMeasure } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { lazy, Suspense } from 'react';
import { fleetQueries } from '../../api/fleet.js';
import { csvFileName } from '../../format/csv.js';
import { endOf } from '../../format/rate-columns.js';
import { MEASURE_WORDS } from '../../format/words.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { QueryView } from '../../parts/query-view.js';
import { RateCell } from '../../parts/rate-cell.js';
import { RevisionLink } from '../../parts/revision-link.js';
import { Section } from '../../parts/section.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import type { FleetView } from './fleet-view.js';
import { outcomeOf, TREND_HEIGHT_PX, type TrendPoint } from './trend-point.js';

/** Drawing comes after the figures: the matrix does not wait for it. */
const TrendPlot = lazy(async () => ({ default: (await import('./trend-plot.js')).TrendPlot }));

/** Rate of the measure from revision to revision, with intervals. */
export function TrendSection({ view }: { readonly view: FleetView }) {
  const query = useQuery(fleetQueries.trend(view.platform));
  const word = MEASURE_WORDS[view.measure];
  const points = query.data?.points ?? [];
  return (
    <Section
      title={`${word} by revision`}
      note="Over every shift driven with a revision, however it was driven: Compare adjusts for different driving."
      actions={
        <CsvButton
          fileName={csvFileName('trend', view.measure, view.platform)}
          columns={csvColumns(view.measure)}
          rows={points}
        />
      }
    >
      <QueryView
        query={query}
        skeleton={<BlockSkeleton height={TREND_HEIGHT_PX} />}
        isEmpty={(data) => data.points.length === 0}
        empty="No shift has been driven with a known revision yet."
      >
        {(data) => (
          <>
            <Suspense fallback={<BlockSkeleton height={TREND_HEIGHT_PX} />}>
              <TrendPlot points={data.points} measure={view.measure} />
            </Suspense>
            <details>
              <summary>As a table</summary>
              <DataTable
                label={`${word} by revision`}
                columns={trendColumns(view.measure)}
                rows={data.points}
                rowId={(point) => point.revisionId}
              />
            </details>
          </>
        )}
      </QueryView>
    </Section>
  );
}

function trendColumns(measure: OutcomeMeasure): readonly DataColumn<TrendPoint>[] {
  return [
    {
      id: 'revision',
      title: 'Revision',
      render: ({ revisionId, label }) => <RevisionLink revisionId={revisionId} label={label} />,
    },
    { id: 'made', title: 'Made', render: ({ createdAt }) => <Instant at={createdAt} precision="day" /> },
    { id: 'rate', title: MEASURE_WORDS[measure], render: (point) => <RateCell rate={outcomeOf(point, measure)} /> },
  ];
}

function csvColumns(measure: OutcomeMeasure) {
  const end = (point: TrendPoint, name: 'low' | 'rate' | 'high') => endOf(outcomeOf(point, measure), name);
  return [
    { header: 'revision', cell: (point: TrendPoint) => point.label },
    { header: 'made at', cell: (point: TrendPoint) => point.createdAt },
    { header: `${measure} events`, cell: (point: TrendPoint) => outcomeOf(point, measure).events },
    { header: 'shifts', cell: (point: TrendPoint) => outcomeOf(point, measure).shifts },
    { header: 'vehicles', cell: (point: TrendPoint) => outcomeOf(point, measure).vehicles },
    { header: `${measure} rate (share)`, cell: (point: TrendPoint) => end(point, 'rate') },
    { header: 'low (share)', cell: (point: TrendPoint) => end(point, 'low') },
    { header: 'high (share)', cell: (point: TrendPoint) => end(point, 'high') },
  ];
}
