import * as Plot from '@observablehq/plot';
import { useMemo } from 'react';
import { PlotFigure } from '../../charts/plot-figure.js';
import { TREND_HEIGHT_PX, type TrendPoint } from './trend-point.js';

const SMALLEST_SCALE = 0.05;
/** Room that a label of a revision needs (px); of more revisions every second or third is named. */
const MOST_LABELS = 8;

interface TrendPlotProps {
  readonly points: readonly TrendPoint[];
  /** Quantity and unit. */
  readonly axisLabel: string;
  /** Rates are shares and are written in per cent. */
  readonly isRate: boolean;
}

/** Middle and range of each revision, in the order in which they were made. */
export function TrendPlot({ points, axisLabel, isRate }: TrendPlotProps) {
  const options = useMemo(() => trendOptions(points, axisLabel, isRate), [points, axisLabel, isRate]);
  return (
    <PlotFigure
      label={`${axisLabel} of ${points.length} revisions with ${isRate ? '95 % intervals' : 'the range of nine in ten shifts'}; the table below has the figures`}
      height={TREND_HEIGHT_PX}
      options={options}
    />
  );
}

function trendOptions(points: readonly TrendPoint[], axisLabel: string, isRate: boolean): Plot.PlotOptions {
  const known = points.flatMap(({ revisionId, figure, main }) =>
    figure === null ? [] : [{ id: revisionId, main, ...figure }],
  );
  const unknown = points.filter(({ figure }) => figure === null);
  const labels = new Map(points.map(({ revisionId, label }) => [revisionId, label]));
  const step = Math.ceil(points.length / MOST_LABELS);
  const named = points.filter((_, at) => (points.length - 1 - at) % step === 0).map(({ revisionId }) => revisionId);
  return {
    marginLeft: 46,
    marginTop: 24,
    x: {
      type: 'point',
      domain: points.map((point) => point.revisionId),
      ticks: named,
      tickFormat: (id: string) => labels.get(id) ?? id,
      label: null,
      padding: 0.6,
    },
    y: {
      domain: [0, Math.max(isRate ? SMALLEST_SCALE : 0, ...known.map((point) => point.high))],
      nice: true,
      grid: true,
      ticks: 5,
      ...(isRate && { tickFormat: (share: number) => `${Math.round(share * 1000) / 10}` }),
      label: axisLabel,
    },
    marks: [
      Plot.ruleY([0], { stroke: 'var(--line-strong)' }),
      Plot.line(known, { x: 'id', y: 'middle', stroke: 'var(--plot-soft)', strokeDasharray: '2 3' }),
      Plot.ruleX(known, {
        x: 'id',
        y1: 'low',
        y2: 'high',
        stroke: 'var(--line-strong)',
        strokeWidth: isRate ? 6 : 2,
      }),
      Plot.dot(known, { x: 'id', y: 'middle', r: 4, fill: 'var(--plot-ink)' }),
      Plot.text(
        known.filter(({ id }) => named.includes(id)),
        {
          x: 'id',
          y: 'middle',
          text: 'main',
          dx: 10,
          textAnchor: 'start',
          fontWeight: 600,
          fill: 'var(--plot-ink)',
          stroke: 'var(--paper)',
          strokeWidth: 4,
        },
      ),
      Plot.text(unknown, { x: 'revisionId', y: 0, dy: -10, text: () => 'too few', fill: 'var(--plot-soft)' }),
    ],
  };
}
