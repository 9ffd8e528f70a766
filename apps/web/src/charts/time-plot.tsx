import 'uplot/dist/uPlot.min.css';
import { useElementSize } from '@mantine/hooks';
import { useEffect, useRef } from 'react';
import uPlot from 'uplot';
import { formatQuantity } from '../format/quantity.js';
import { formatElapsed } from '../format/time.js';
import { useScheme } from '../theme/use-scheme.js';
import { cssColour } from './css-colour.js';
import { drawMoments, drawPhases } from './draw-phases.js';
import { AXIS_WIDTH_PX, RIGHT_ROOM_PX, type TimeRange } from './plot-frame.js';
import type { PlotMoment, PlotPhase, PlotSeries } from './plot-series.js';
import classes from './time-plot.module.css';

interface TimePlotProps {
  /** What the plot shows, for those who do not see it. */
  readonly label: string;
  /** Strictly increasing, see `strictlyIncreasing`. */
  readonly timeS: readonly number[];
  readonly series: readonly PlotSeries[];
  readonly range: TimeRange;
  readonly heightPx: number;
  readonly hasTimeAxis: boolean;
  readonly phases?: readonly PlotPhase[];
  readonly moments?: readonly PlotMoment[];
  /** Panels of one view share their cursor by this key. */
  readonly cursorKey: string;
  readonly onZoom?: (range: TimeRange) => void;
  readonly onReset?: () => void;
  /** A moment was pointed at: by a click without a drag, or by Enter at the cursor. */
  readonly onPick?: (timeS: number) => void;
}

const NONE: readonly never[] = [];

/**
 * Signals over the time of a drive. Dragging zooms, a double click goes back, arrow keys step the cursor, a click or Enter
 * points at a moment.
 */
export function TimePlot(props: TimePlotProps) {
  const { label, timeS, series, range, heightPx, hasTimeAxis, cursorKey, onZoom, onReset, onPick } = props;
  const { phases = NONE, moments = NONE } = props;
  const { ref: box, width } = useElementSize();
  const host = useRef<HTMLDivElement>(null);
  const readout = useRef<HTMLDivElement>(null);
  const scheme = useScheme();
  const handlers = useRef({ onZoom, onReset, onPick });
  useEffect(() => {
    handlers.current = { onZoom, onReset, onPick };
  });

  useEffect(() => {
    const element = host.current;
    if (element === null || width === 0) return;
    const data = [timeS, ...series.flatMap(({ min, max }) => [max, min])] as uPlot.AlignedData;
    const plot = new uPlot(
      {
        width,
        height: heightPx,
        padding: [6, RIGHT_ROOM_PX, 0, 0],
        legend: { show: false },
        cursor: {
          sync: { key: cursorKey },
          drag: { x: true, y: false, setScale: false },
          y: false,
          points: { size: 5 },
        },
        scales: { x: { time: false, range: [range.fromS, range.toS] } },
        axes: axesOf(series, hasTimeAxis),
        series: [{}, ...series.flatMap(linesOf)],
        bands: series.map(({ colour }, index) => ({
          series: [2 * index + 1, 2 * index + 2] as uPlot.Band.Bounds,
          fill: `color-mix(in srgb, ${cssColour(colour)} 28%, transparent)`,
        })),
        hooks: {
          drawAxes: [(drawn) => drawPhases(drawn, phases)],
          draw: [(drawn) => drawMoments(drawn, moments)],
          setCursor: [(drawn) => writeReadout(readout.current, drawn, series)],
          setSelect: [
            (drawn) => {
              const { left, width: selected } = drawn.select;
              if (selected < 4) return;
              const zoomed = { fromS: drawn.posToVal(left, 'x'), toS: drawn.posToVal(left + selected, 'x') };
              drawn.setSelect({ left: 0, width: 0, top: 0, height: 0 }, false);
              handlers.current.onZoom?.(zoomed);
            },
          ],
        },
      },
      data,
      element,
    );
    plot.over.addEventListener('dblclick', () => handlers.current.onReset?.());
    const pick = (pickedS: number) => handlers.current.onPick?.(pickedS);
    whenClicked(plot, pick);
    writeReadout(readout.current, plot, series);
    const stepCursor = (event: KeyboardEvent) => {
      moveCursor(plot, event);
      const cursorS = plot.data[0][plot.cursor.idx ?? -1];
      if (event.key === 'Enter' && cursorS !== undefined) pick(cursorS);
    };
    element.addEventListener('keydown', stepCursor);
    return () => {
      element.removeEventListener('keydown', stepCursor);
      plot.destroy();
    };
    // The scheme is not read here, but the colours that were read belong to it.
  }, [timeS, series, range, width, heightPx, hasTimeAxis, phases, moments, cursorKey, scheme]);

  return (
    <div className={classes.panel} ref={box}>
      <div className={classes.readout} ref={readout}>
        <span className={classes.entry} data-time="" />
        {series.map((line) => (
          <span key={line.id} className={classes.entry}>
            <span
              className={classes.swatch}
              style={{
                borderColor: `var(${line.colour})`,
                borderTopStyle: strokeOf(line),
              }}
            />
            {line.title} <span className={classes.value} data-series={line.id} />
          </span>
        ))}
      </div>
      {/* oxlint-disable-next-line jsx-a11y/no-noninteractive-tabindex -- the cursor is moved by arrow keys */}
      <div ref={host} className={classes.canvas} role="img" aria-label={label} tabIndex={0} />
    </div>
  );
}

/** The stroke of a border that looks like the pattern of a line: short strokes are dots. */
function strokeOf({ dash }: PlotSeries): 'solid' | 'dashed' | 'dotted' {
  const [stroke] = dash ?? [];
  if (stroke === undefined) return 'solid';
  return stroke <= 2 ? 'dotted' : 'dashed';
}

function axesOf(series: readonly PlotSeries[], hasTimeAxis: boolean): uPlot.Axis[] {
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

function linesOf(line: PlotSeries): uPlot.Series[] {
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

function writeReadout(element: HTMLElement | null, plot: uPlot, series: readonly PlotSeries[]): void {
  if (element === null) return;
  const index = plot.cursor.idx;
  const time = element.querySelector('[data-time]');
  const timeS = index === null || index === undefined ? undefined : plot.data[0][index];
  if (time !== null) time.textContent = timeS === undefined ? '' : formatElapsed(timeS);
  for (const line of series) {
    const cell = element.querySelector(`[data-series="${line.id}"]`);
    if (cell !== null) cell.textContent = index === null || index === undefined ? '' : valueText(line, index);
  }
}

function valueText({ min, max, unit, isStepped }: PlotSeries, index: number): string {
  const low = min[index] ?? null;
  const high = max[index] ?? null;
  const digits = isStepped ? 0 : undefined;
  if (low === high) return formatQuantity(high, unit, digits);
  return `${formatQuantity(low, '', digits ?? 0)} to ${formatQuantity(high, unit, digits)}`;
}

/** Farther than this the pointer was dragged (px). */
const CLICK_ROOM_PX = 3;

/** Tells the moment of a click that was no drag. */
function whenClicked(plot: uPlot, pick: (timeS: number) => void): void {
  let downX = 0;
  plot.over.addEventListener('mousedown', ({ clientX }) => {
    downX = clientX;
  });
  plot.over.addEventListener('click', ({ clientX, detail }) => {
    if (detail !== 1 || Math.abs(clientX - downX) > CLICK_ROOM_PX) return;
    pick(plot.posToVal(clientX - plot.over.getBoundingClientRect().left, 'x'));
  });
}

/** Arrow keys step one sample; with Shift they are left to the page, which steps one gear change. */
function moveCursor(plot: uPlot, event: KeyboardEvent): void {
  const step = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
  if (step === undefined || event.shiftKey) return;
  event.preventDefault();
  const times = plot.data[0];
  const now = plot.cursor.idx ?? Math.floor(times.length / 2);
  const next = Math.min(times.length - 1, Math.max(0, now + step));
  plot.setCursor({ left: plot.valToPos(times[next] as number, 'x'), top: 0 });
}
