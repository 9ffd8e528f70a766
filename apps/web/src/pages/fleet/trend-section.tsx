import type { Band, Role } from '@syncline/contract';
import { lazy, Suspense } from 'react';
import { useSession } from '../../api/session.js';
import { csvFileName } from '../../format/csv.js';
import { isSpreadMeasure, MEASURED, measureWord } from '../../format/measured.js';
import { counted, formatCount } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Folded } from '../../parts/folded.js';
import { HelpTerm } from '../../parts/help-term.js';
import { Instant } from '../../parts/instant.js';
import { QueryView } from '../../parts/query-view.js';
import { RevisionLink } from '../../parts/revision-link.js';
import { Section } from '../../parts/section.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import { TextLink } from '../../parts/text-link.js';
import { type FleetView, shiftsBehind } from './fleet-view.js';
import { TREND_HEIGHT_PX, type TrendPoint } from './trend-point.js';
import { useTrend } from './use-trend.js';

/** Drawing comes after the figures: the matrix does not wait for it. */
const TrendPlot = lazy(async () => ({ default: (await import('./trend-plot.js')).TrendPlot }));

interface TrendSectionProps {
  readonly view: FleetView;
  readonly fluidTemperature: Band | undefined;
}

/** The measure from revision to revision. */
export function TrendSection({ view, fluidTemperature }: TrendSectionProps) {
  const { platform, measure } = view;
  const { role } = useSession().person;
  const { query, points, leftOut } = useTrend(view);
  const word = measureWord(measure);
  const isSpread = isSpreadMeasure(measure);
  const axisLabel = isSpread ? `${word} (${MEASURED[measure].unit})` : `${word} rate (%)`;
  return (
    <Section
      title={`${word} by revision`}
      note={
        <>
          Over every shift driven with a revision under the filters above, however it was driven: Compare adjusts for
          different driving.
          {isSpread && (
            <>
              {' '}
              Dots are medians, lines <HelpTerm term="spread">where nine in ten lie</HelpTerm>.
            </>
          )}
          {leftOut > 0 && ` The ${formatCount(points?.length ?? 0)} newest; ${counted(leftOut, 'older one')} left out.`}
        </>
      }
      actions={
        <CsvButton fileName={csvFileName('trend', measure, platform)} columns={csvColumns(view)} rows={points ?? []} />
      }
    >
      <QueryView
        query={query}
        skeleton={<BlockSkeleton height={TREND_HEIGHT_PX} />}
        isEmpty={(data) => data.points.length === 0}
        empty="No shift was driven there with a known revision."
      >
        {() =>
          points === undefined ? (
            <BlockSkeleton height={TREND_HEIGHT_PX} />
          ) : (
            <>
              <Suspense fallback={<BlockSkeleton height={TREND_HEIGHT_PX} />}>
                <TrendPlot points={points} axisLabel={axisLabel} isRate={!isSpread} />
              </Suspense>
              <Folded summary="As a table">
                {() => (
                  <DataTable
                    label={`${word} by revision`}
                    columns={trendColumns({ view, fluidTemperature }, role)}
                    rows={points}
                    rowId={(point) => point.revisionId}
                  />
                )}
              </Folded>
            </>
          )
        }
      </QueryView>
    </Section>
  );
}

/** A tester sees figures of all cars but only the shifts of their own, so that the figures lead nowhere. */
function trendColumns({ view, fluidTemperature }: TrendSectionProps, role: Role): readonly DataColumn<TrendPoint>[] {
  return [
    {
      id: 'revision',
      title: 'Revision',
      render: ({ revisionId, label }) => <RevisionLink revisionId={revisionId} label={label} />,
    },
    { id: 'made', title: 'Made', render: ({ createdAt }) => <Instant at={createdAt} precision="day" /> },
    { id: 'figure', title: measureWord(view.measure), isNumber: true, render: ({ main }) => main },
    {
      id: 'range',
      title: isSpreadMeasure(view.measure) ? 'Nine in ten' : 'Interval',
      isShort: true,
      render: ({ side }) => side,
    },
    {
      id: 'shifts',
      title: 'From',
      isShort: true,
      render: ({ revisionId, shifts, vehicles }) => {
        const text = `${counted(shifts, 'shift')} in ${counted(vehicles, 'car')}`;
        if (role === 'tester') return text;
        return (
          <TextLink to="/shifts" search={shiftsBehind(view, { revision: revisionId, fluidTemperature })}>
            {text}
          </TextLink>
        );
      },
    },
  ];
}

function csvColumns({ measure }: FleetView) {
  const isSpread = isSpreadMeasure(measure);
  const unit = isSpread ? MEASURED[measure].unit : 'share';
  const [middle, low, high] = isSpread ? ['median', '5 % quantile', '95 % quantile'] : ['rate', 'low', 'high'];
  return [
    { header: 'revision', cell: (point: TrendPoint) => point.label },
    { header: 'made at', cell: (point: TrendPoint) => point.createdAt },
    { header: 'shifts', cell: (point: TrendPoint) => point.shifts },
    { header: 'vehicles', cell: (point: TrendPoint) => point.vehicles },
    { header: `${measure} ${middle} (${unit})`, cell: (point: TrendPoint) => point.figure?.middle ?? null },
    { header: `${low} (${unit})`, cell: (point: TrendPoint) => point.figure?.low ?? null },
    { header: `${high} (${unit})`, cell: (point: TrendPoint) => point.figure?.high ?? null },
  ];
}
