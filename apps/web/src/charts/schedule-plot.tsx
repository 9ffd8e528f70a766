import * as Plot from '@observablehq/plot';
import { useMemo } from 'react';
import { formatNumber } from '../format/quantity.js';
import { PlotFigure } from './plot-figure.js';
import { SCHEDULE_HEIGHT_PX, type ScheduleLine, type ScheduleMark } from './schedule-line.js';

interface SchedulePlotProps {
  readonly label: string;
  /** Both must keep their identity while their values are the same. */
  readonly lines: readonly ScheduleLine[];
  readonly marks: readonly ScheduleMark[];
}

/** Shift lines: upshifts solid with their name at the top, downshifts dashed with theirs at the foot. */
export function SchedulePlot({ label, lines, marks }: SchedulePlotProps) {
  const options = useMemo(() => scheduleOptions(lines, marks), [lines, marks]);
  return <PlotFigure label={label} height={SCHEDULE_HEIGHT_PX} options={options} />;
}

function scheduleOptions(lines: readonly ScheduleLine[], marks: readonly ScheduleMark[]): Plot.PlotOptions {
  const points = lines.flatMap(({ id, isUp, look, points: nodes }) =>
    nodes.map(({ pedal, outputSpeedRpm }) => ({ id, isUp, look, pedal, outputSpeedRpm })),
  );
  const of = (look: ScheduleLine['look'], isUp: boolean) =>
    points.filter((point) => point.look === look && point.isUp === isUp);
  const names = (isUp: boolean) =>
    lines.flatMap(({ label, look, isUp: isOfUp, points: nodes }) => {
      const end = isUp ? nodes.at(-1) : nodes[0];
      return look === 'strong' && isOfUp === isUp && end !== undefined ? [{ label, ...end }] : [];
    });
  const line = { x: 'outputSpeedRpm', y: 'pedal', z: 'id' } as const;
  const context = { ...line, stroke: 'var(--line-strong)', strokeWidth: 1 };
  const strong = { ...line, strokeWidth: 2 };
  return {
    marginLeft: 44,
    marginRight: 18,
    marginTop: 30,
    marginBottom: 44,
    x: {
      label: 'Output speed (rpm)',
      labelArrow: 'none',
      labelAnchor: 'right',
      grid: true,
      zero: true,
      nice: true,
      tickFormat: (rpm: number) => formatNumber(rpm, 0),
    },
    y: { label: 'Pedal (%)', labelArrow: 'none', domain: [-6, 106], ticks: [0, 20, 40, 60, 80, 100], grid: true },
    marks: [
      Plot.line(of('context', true), context),
      Plot.line(of('context', false), { ...context, strokeDasharray: '5 4' }),
      Plot.line(of('strong', false), { ...strong, stroke: 'var(--series-4)', strokeDasharray: '6 4' }),
      Plot.line(of('strong', true), { ...strong, stroke: 'var(--plot-ink)' }),
      Plot.dot(of('strong', false), { ...line, stroke: 'var(--series-4)', fill: 'var(--surface)', r: 2.5 }),
      Plot.dot(of('strong', true), { ...line, fill: 'var(--plot-ink)', r: 2.5 }),
      Plot.text(names(true), { x: 'outputSpeedRpm', y: 'pedal', text: 'label', dy: -10, fill: 'var(--plot-ink)' }),
      Plot.text(names(false), { x: 'outputSpeedRpm', y: 'pedal', text: 'label', dy: 12, fill: 'var(--series-4)' }),
      Plot.dot(
        marks.filter(({ kind }) => kind === 'other'),
        { x: 'outputSpeedRpm', y: 'pedal', r: 8, stroke: 'var(--fault)', strokeWidth: 2 },
      ),
      Plot.dot(
        marks.filter(({ kind }) => kind === 'crossing'),
        { x: 'outputSpeedRpm', y: 'pedal', r: 8, symbol: 'times', stroke: 'var(--fault)', strokeWidth: 3 },
      ),
    ],
  };
}
