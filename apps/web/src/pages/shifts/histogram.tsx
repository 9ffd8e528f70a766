import * as Plot from '@observablehq/plot';
import { useMemo } from 'react';
import { PlotFigure } from '../../charts/plot-figure.js';

const BIN_COUNT = 30;

interface HistogramProps {
  readonly values: readonly number[];
  /** Quantity and unit. */
  readonly axisLabel: string;
  readonly label: string;
  readonly height: number;
}

/** How many values fall into each of some thirty equal steps. */
export function Histogram({ values, axisLabel, label, height }: HistogramProps) {
  const options = useMemo(() => histogram(values, axisLabel), [values, axisLabel]);
  return <PlotFigure label={label} height={height} options={options} />;
}

function histogram(values: readonly number[], label: string): Plot.PlotOptions {
  return {
    marginLeft: 46,
    marginTop: 16,
    marginBottom: 40,
    x: { label, labelAnchor: 'right' },
    y: {
      label: 'Shifts',
      grid: true,
      ticks: 4,
      tickFormat: (count: number) => (Number.isInteger(count) ? String(count) : ''),
    },
    marks: [
      Plot.rectY(values, {
        ...Plot.binX({ y: 'count' }, { x: { value: Plot.identity, thresholds: BIN_COUNT } }),
        fill: 'var(--plot-soft)',
      }),
      Plot.ruleY([0], { stroke: 'var(--line-strong)' }),
    ],
  };
}
