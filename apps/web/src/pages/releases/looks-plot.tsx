import * as Plot from '@observablehq/plot';
import { useMemo } from 'react';
import { PlotFigure } from '../../charts/plot-figure.js';
import { LOOKS_HEIGHT_PX, type LookRow } from './look-row.js';

/** Beyond this change the scale tells nothing more (percentage points); a wide bound of the first looks is cut there. */
const MOST_POINTS = 30;
const LEAST_POINTS = 5;

interface LooksPlotProps {
  readonly rows: readonly LookRow[];
  /** Share of shifts. */
  readonly harmLimit: number;
}

/** The change and its always-valid bound over the looks, with the limit that holds the release. */
export function LooksPlot({ rows, harmLimit }: LooksPlotProps) {
  const options = useMemo(() => looksOptions(rows, harmLimit), [rows, harmLimit]);
  return (
    <PlotFigure
      label={`Change and always-valid bound at ${rows.length} looks in percentage points; the table below has the figures`}
      height={LOOKS_HEIGHT_PX}
      options={options}
    />
  );
}

function looksOptions(rows: readonly LookRow[], harmLimit: number): Plot.PlotOptions {
  const known = rows.flatMap(({ number, change, low, high }) =>
    change === null || low === null || high === null
      ? []
      : [{ number, change: 100 * change, low: 100 * low, high: 100 * high }],
  );
  const changes = known.map(({ change }) => Math.abs(change));
  const reach = Math.min(MOST_POINTS, Math.max(LEAST_POINTS, ...changes.map((change) => 2 * change)));
  const clip = (value: number) => Math.max(-reach, Math.min(reach, value));
  const limit = 100 * harmLimit;
  return {
    marginLeft: 46,
    marginTop: 24,
    x: {
      domain: [0.5, Math.max(rows.length, 1) + 0.5],
      label: 'look',
      ticks: Math.min(8, rows.length),
      tickFormat: 'd',
    },
    y: { domain: [-reach, reach], grid: true, ticks: 6, label: 'change (percentage points)' },
    marks: [
      Plot.areaY(known, {
        x: 'number',
        y1: ({ low }: { low: number }) => clip(low),
        y2: ({ high }: { high: number }) => clip(high),
        fill: 'var(--hatch)',
      }),
      Plot.ruleY([0], { stroke: 'var(--line-strong)' }),
      Plot.ruleY([limit], { stroke: 'var(--fault)', strokeDasharray: '5 3' }),
      Plot.text([limit], {
        y: (value: number) => value,
        frameAnchor: 'right',
        text: () => 'limit',
        dy: -8,
        fill: 'var(--fault)',
      }),
      Plot.line(known, { x: 'number', y: ({ low }: { low: number }) => clip(low), stroke: 'var(--plot-soft)' }),
      Plot.line(known, { x: 'number', y: 'change', stroke: 'var(--series-2)', strokeWidth: 2 }),
      Plot.dot(known, { x: 'number', y: 'change', r: 3, fill: 'var(--series-2)' }),
    ],
  };
}
