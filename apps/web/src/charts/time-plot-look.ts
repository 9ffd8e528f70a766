import uPlot from 'uplot';
import { formatElapsed } from '../format/time.js';
import { cssColour } from './css-colour.js';
import { AXIS_WIDTH_PX } from './plot-frame.js';
import type { PlotSeries } from './plot-series.js';

/** Axes of time and value. */
export function axesOf(series: readonly PlotSeries[], hasTimeAxis: boolean): uPlot.Axis[] {
  const look = {
    stroke: cssColour('--plot-soft'),
    font: `11px ${getComputedStyle(document.body).fontFamily}`,
    grid: { stroke: cssColour('--plot-grid'), width: 1 },
    ticks: { show: false },
  };
  const unit = series[0]?.unit ?? '';
  return [
    {
      ...look,
      size: hasTimeAxis ? 26 : 4,
      values: (_plot, splits, _axis, _space, step) =>
        splits.map((value) => (hasTimeAxis ? formatElapsed(value, step < 0.1 ? 2 : step < 1 ? 1 : 0) : '')),
    },
    {
      ...look,
      size: AXIS_WIDTH_PX,
      space: 26,
      // There is nothing between two gears.
      ...(series.every(({ isStepped }) => isStepped) && { incrs: [1, 2, 5, 10] }),
      // The unit stands at the topmost number, so that none is without.
      values: (_plot, splits) =>
        splits.map((value, index) => (index === splits.length - 1 && unit !== '' ? `${value} ${unit}` : String(value))),
    },
  ];
}

/** The lines of the signals, and the band between the two bounds of each. */
export function linesOf(series: readonly PlotSeries[]): Pick<uPlot.Options, 'series' | 'bands'> {
  return {
    series: [{}, ...series.flatMap(boundsOf)],
    bands: series.map(({ colour }, index) => ({
      series: [2 * index + 1, 2 * index + 2] as uPlot.Band.Bounds,
      fill: `color-mix(in srgb, ${cssColour(colour)} 28%, transparent)`,
    })),
  };
}

/** Equal for signals that are drawn alike, whatever their samples. */
export function lookOf(series: readonly PlotSeries[]): string {
  return JSON.stringify(series.map(({ min: _min, max: _max, ...look }) => look));
}

function boundsOf(line: PlotSeries): uPlot.Series[] {
  const look: uPlot.Series = {
    stroke: cssColour(line.colour),
    width: line.width ?? 1.25,
    points: { show: false },
    spanGaps: false,
  };
  if (line.dash !== undefined) look.dash = [...line.dash];
  const stepped = uPlot.paths.stepped;
  if (line.isStepped && stepped !== undefined) look.paths = stepped({ align: 1 });
  return [look, look];
}
