import * as Plot from '@observablehq/plot';
import type { OutcomeMeasure } from '@syncline/contract';
import { useMemo } from 'react';
import { PlotFigure } from '../../charts/plot-figure.js';
import { formatShare } from '../../format/rate.js';
import { MEASURE_WORDS } from '../../format/words.js';
import { outcomeOf, TREND_HEIGHT_PX, type TrendPoint } from './trend-point.js';

const SMALLEST_SCALE = 0.05;

/** Point and interval of each revision, in the order in which they were made. */
export function TrendPlot({
  points,
  measure,
}: {
  readonly points: readonly TrendPoint[];
  readonly measure: OutcomeMeasure;
}) {
  const options = useMemo(() => trendOptions(points, measure), [points, measure]);
  return (
    <PlotFigure
      label={`${MEASURE_WORDS[measure]} rate of ${points.length} revisions with 95 % intervals; the table below has the figures`}
      height={TREND_HEIGHT_PX}
      options={options}
    />
  );
}

function trendOptions(points: readonly TrendPoint[], measure: OutcomeMeasure): Plot.PlotOptions {
  const known = points.flatMap((point) => {
    const rate = outcomeOf(point, measure);
    return rate.kind === 'estimate' ? [{ id: point.revisionId, ...rate }] : [];
  });
  const unknown = points.filter((point) => outcomeOf(point, measure).kind === 'insufficient');
  const labels = new Map(points.map(({ revisionId, label }) => [revisionId, label]));
  return {
    marginLeft: 46,
    marginTop: 24,
    x: {
      type: 'point',
      domain: points.map((point) => point.revisionId),
      tickFormat: (id: string) => labels.get(id) ?? id,
      label: null,
      padding: 0.6,
    },
    y: {
      domain: [0, Math.max(SMALLEST_SCALE, ...known.map((point) => point.high))],
      nice: true,
      grid: true,
      ticks: 5,
      tickFormat: (share: number) => `${Math.round(share * 1000) / 10}`,
      label: `${MEASURE_WORDS[measure]} rate (%)`,
    },
    marks: [
      Plot.ruleY([0], { stroke: 'var(--line-strong)' }),
      Plot.line(known, { x: 'id', y: 'rate', stroke: 'var(--plot-soft)', strokeDasharray: '2 3' }),
      Plot.ruleX(known, { x: 'id', y1: 'low', y2: 'high', stroke: 'var(--line-strong)', strokeWidth: 6 }),
      Plot.dot(known, { x: 'id', y: 'rate', r: 4, fill: 'var(--plot-ink)' }),
      Plot.text(known, {
        x: 'id',
        y: 'rate',
        text: (point: { rate: number }) => formatShare(point.rate),
        dx: 10,
        textAnchor: 'start',
        fontWeight: 600,
        fill: 'var(--plot-ink)',
        stroke: 'var(--paper)',
        strokeWidth: 4,
      }),
      Plot.text(unknown, { x: 'revisionId', y: 0, dy: -10, text: () => 'too few', fill: 'var(--plot-soft)' }),
    ],
  };
}
