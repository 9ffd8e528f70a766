import * as Plot from '@observablehq/plot';
import { useMemo } from 'react';
import { formatNumber } from '../format/quantity.js';
import { axisName, type GridAxis } from './grid-axis.js';
import { PlotFigure } from './plot-figure.js';
import { PROFILE_HEIGHT_PX, type ProfileLine } from './profile-line.js';

interface ProfilePlotProps {
  readonly label: string;
  readonly axis: GridAxis;
  /** What is drawn, with its unit, for example “Base pressure (kPa)”. */
  readonly valueName: string;
  readonly lines: readonly ProfileLine[];
  /** Lowest and highest value of the plot: the same for both profiles of a table, so that they can be compared. */
  readonly extent: readonly [number, number];
  /** Node that is looked at. */
  readonly chosenNode: number;
}

/** Room above and below the values, as a share of their spread. */
const ROOM = 0.08;

/** A table read along one axis: a line with a dot at each break point, dashed vertical at the chosen one. */
export function ProfilePlot({ label, axis, valueName, lines, extent, chosenNode }: ProfilePlotProps) {
  const options = useMemo(
    () => profileOptions(axis, valueName, lines, extent, chosenNode),
    [axis, valueName, lines, extent, chosenNode],
  );
  return <PlotFigure label={label} height={PROFILE_HEIGHT_PX} options={options} />;
}

/** Ticks are round numbers; written as everywhere else, without the dust of binary fractions. */
function tickFormat(tick: number): string {
  const digits = Math.min(4, (String(Number(tick.toPrecision(6))).split('.')[1] ?? '').length);
  return formatNumber(tick, digits);
}

function profileOptions(
  axis: GridAxis,
  valueName: string,
  lines: readonly ProfileLine[],
  [low, high]: readonly [number, number],
  chosenNode: number,
): Plot.PlotOptions {
  const room = (high - low) * ROOM || Math.abs(high) * ROOM || 1;
  const points = lines.flatMap(({ id, look, values }) =>
    values.map((value, node) => ({
      id,
      look,
      x: axis.breakpoints[node] as number,
      value,
      isChosen: node === chosenNode,
    })),
  );
  const of = (look: ProfileLine['look']) => points.filter((point) => point.look === look);
  const line = { x: 'x', y: 'value', z: 'id' };
  return {
    marginLeft: 52,
    marginBottom: 36,
    marginTop: 24,
    x: { label: axisName(axis), labelArrow: 'none', labelAnchor: 'right', ticks: 6, line: true, tickFormat },
    y: { label: valueName, labelArrow: 'none', ticks: 5, grid: true, tickFormat, domain: [low - room, high + room] },
    marks: [
      Plot.ruleX([axis.breakpoints[chosenNode] as number], { stroke: 'var(--accent-ink)', strokeDasharray: '3 3' }),
      Plot.line(of('context'), { ...line, stroke: 'var(--line-strong)', strokeWidth: 0.9 }),
      Plot.line(of('dashed'), { ...line, stroke: 'var(--series-4)', strokeWidth: 1.6, strokeDasharray: '6 4' }),
      Plot.dot(of('dashed'), { ...line, stroke: 'var(--series-4)', fill: 'var(--surface)', r: 2.5 }),
      Plot.line(of('strong'), { ...line, stroke: 'var(--plot-ink)', strokeWidth: 2 }),
      Plot.dot(of('strong'), { ...line, fill: 'var(--plot-ink)', r: 2.5 }),
      Plot.dot(
        of('strong').filter(({ isChosen }) => isChosen),
        { ...line, stroke: 'var(--accent-ink)', strokeWidth: 2, r: 6 },
      ),
    ],
  };
}
