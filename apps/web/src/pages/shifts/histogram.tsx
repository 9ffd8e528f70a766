import * as Plot from '@observablehq/plot';
import { useMemo } from 'react';
import { PlotFigure } from '../../charts/plot-figure.js';
import { type Bin, isTowering } from './histogram-bins.js';

interface Quantile {
  readonly at: number;
  readonly name: string;
}

interface HistogramProps {
  readonly bins: readonly Bin[];
  /** Marked as lines through the bars. */
  readonly quantiles: readonly Quantile[];
  /** Quantity and unit. */
  readonly axisLabel: string;
  readonly label: string;
  readonly height: number;
}

/** How many shifts fall into each of some equally wide steps. */
export function Histogram({ bins, quantiles, axisLabel, label, height }: HistogramProps) {
  const options = useMemo(() => histogram(bins, quantiles, axisLabel), [bins, quantiles, axisLabel]);
  return <PlotFigure label={label} height={height} options={options} />;
}

function histogram(bins: readonly Bin[], quantiles: readonly Quantile[], label: string): Plot.PlotOptions {
  const isRoot = isTowering(bins);
  return {
    marginLeft: 58,
    marginTop: 22,
    marginBottom: 40,
    x: { label, labelAnchor: 'right' },
    y: {
      labelAnchor: 'center',
      label: isRoot ? 'Shifts (root scale)' : 'Shifts',
      ...(isRoot && { type: 'sqrt' as const }),
      grid: true,
      ticks: 4,
      tickFormat: (count: number) => (Number.isInteger(count) ? String(count) : ''),
    },
    marks: [
      Plot.rectY(bins, { x1: 'low', x2: 'high', y: 'shifts', fill: 'var(--plot-soft)', fillOpacity: 0.75, inset: 0.5 }),
      Plot.ruleY([0], { stroke: 'var(--line-strong)' }),
      Plot.ruleX(quantiles, { x: 'at', stroke: 'var(--plot-ink)', strokeDasharray: '3 3' }),
      Plot.text(quantiles, {
        x: 'at',
        frameAnchor: 'top',
        text: 'name',
        dy: -12,
        fill: 'var(--plot-ink)',
        stroke: 'var(--paper)',
        strokeWidth: 3,
      }),
    ],
  };
}
