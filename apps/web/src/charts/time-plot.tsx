import 'uplot/dist/uPlot.min.css';
import { useElementSize } from '@mantine/hooks';
import { useEffect, useMemo, useRef } from 'react';
import uPlot from 'uplot';
import { formatQuantity } from '../format/quantity.js';
import { formatElapsed, toMilliseconds } from '../format/time.js';
import { useScheme } from '../theme/use-scheme.js';
import { drawMoments, drawPhases } from './draw-phases.js';
import { hidePicture, stretchPicture } from './part-picture.js';
import { RIGHT_ROOM_PX, type TimeRange } from './plot-frame.js';
import type { PlotMoment, PlotPhase, PlotSeries } from './plot-series.js';
import { keepPictures, showRange } from './show-part.js';
import classes from './time-plot.module.css';
import { axesOf, linesOf, lookOf } from './time-plot-look.js';

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

/** What changes while one looks at a plot. */
interface Shown {
  readonly timeS: readonly number[];
  readonly series: readonly PlotSeries[];
  readonly range: TimeRange;
  readonly phases: readonly PlotPhase[];
  readonly moments: readonly PlotMoment[];
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
  const plot = useRef<uPlot>(null);
  const scheme = useScheme();
  const shown = useMemo<Shown>(
    () => ({ timeS, series, range, phases, moments }),
    [timeS, series, range, phases, moments],
  );
  const latest = useRef({ shown, onZoom, onReset, onPick });
  const drawn = useRef<Shown>(null);
  useEffect(() => {
    latest.current = { shown, onZoom, onReset, onPick };
  });

  const isWide = width > 0;
  const look = lookOf(series);
  // A plot is made anew only where its frame or the look of its lines is another: what it shows changes with each zoom.
  // biome-ignore lint/correctness/useExhaustiveDependencies: the scheme is behind the colours that are read
  useEffect(() => {
    const element = host.current;
    if (element === null || !isWide) return;
    const pick = (pickedS: number) => latest.current.onPick?.(pickedS);
    const made = new uPlot(
      {
        width: element.clientWidth,
        height: heightPx,
        padding: [6, RIGHT_ROOM_PX, 0, 0],
        legend: { show: false },
        cursor: {
          sync: { key: cursorKey },
          drag: { x: true, y: false, setScale: false },
          y: false,
          points: { size: 5 },
        },
        scales: { x: { time: false, range: (_plot, fromS, toS) => [fromS, toS] } },
        ...linesOf(latest.current.shown.series),
        axes: axesOf(latest.current.shown.series, hasTimeAxis),
        hooks: {
          drawAxes: [(self) => drawPhases(self, latest.current.shown.phases)],
          draw: [(self) => drawMoments(self, latest.current.shown.moments), hidePicture],
          setCursor: [(self) => writeReadout(readout.current, self, latest.current.shown.series), stretchToSelection],
          setSelect: [(self) => takeSelection(self, latest.current.onZoom)],
        },
      },
      dataOf(latest.current.shown),
      element,
    );
    showRange(made, latest.current.shown.range);
    plot.current = made;
    drawn.current = latest.current.shown;
    made.over.addEventListener('dblclick', () => latest.current.onReset?.());
    made.over.addEventListener('mousedown', () => keepPictures(cursorKey));
    whenClicked(made, pick);
    writeReadout(readout.current, made, latest.current.shown.series);
    const stepCursor = (event: KeyboardEvent) => {
      moveCursor(made, event);
      const cursorS = made.data[0][made.cursor.idx ?? -1];
      if (event.key === 'Enter' && cursorS !== undefined) pick(cursorS);
    };
    element.addEventListener('keydown', stepCursor);
    return () => {
      element.removeEventListener('keydown', stepCursor);
      made.destroy();
      plot.current = null;
    };
  }, [look, isWide, heightPx, hasTimeAxis, cursorKey, scheme]);

  useEffect(() => {
    if (isWide) plot.current?.setSize({ width, height: heightPx });
  }, [isWide, width, heightPx]);

  useEffect(() => {
    const before = drawn.current;
    if (plot.current === null || before === null || before === shown) return;
    drawn.current = shown;
    drawAgain(plot.current, before, shown);
    writeReadout(readout.current, plot.current, shown.series);
  }, [shown]);

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
      <div
        ref={host}
        className={classes.canvas}
        style={{ minHeight: heightPx }}
        role="img"
        aria-label={label}
        tabIndex={0}
      />
    </div>
  );
}

/** The stroke of a border that looks like the pattern of a line: short strokes are dots. */
function strokeOf({ dash }: PlotSeries): 'solid' | 'dashed' | 'dotted' {
  const [stroke] = dash ?? [];
  if (stroke === undefined) return 'solid';
  return stroke <= 2 ? 'dotted' : 'dashed';
}

/** Samples in the order of the lines: each signal is its upper and its lower bound. */
function dataOf({ timeS, series }: Pick<Shown, 'timeS' | 'series'>): uPlot.AlignedData {
  return [timeS, ...series.flatMap(({ min, max }) => [max, min])] as uPlot.AlignedData;
}

/** Draws what is new: lines are built anew only for other samples or another part, which may stand there by a drag. */
function drawAgain(plot: uPlot, before: Shown, { timeS, series, range, phases, moments }: Shown): void {
  const isNew = timeS !== before.timeS || series !== before.series;
  if (isNew) plot.setData(dataOf({ timeS, series }), false);
  const { min, max } = plot.scales.x ?? {};
  if (isNew || min !== range.fromS || max !== range.toS) showRange(plot, range);
  else if (phases !== before.phases || moments !== before.moments) plot.redraw(false);
}

/** A drag that was long enough zooms. The panels that share the cursor hear of it without an event of their own. */
function takeSelection(plot: uPlot, zoom: TimePlotProps['onZoom']): void {
  if (plot.select.width < LEAST_DRAG_PX) return;
  if (zoom === undefined) return plot.setSelect({ left: 0, width: 0, top: 0, height: 0 }, false);
  if (plot.cursor.event) zoom(selectedBy(plot));
}

/** During a drag the picture of the part that it has reached lies ready. */
function stretchToSelection(plot: uPlot): void {
  if (plot.select.width >= LEAST_DRAG_PX) stretchPicture(plot, selectedBy(plot));
}

function selectedBy(plot: uPlot): TimeRange {
  const { left, width } = plot.select;
  return { fromS: timeAt(plot, left), toS: timeAt(plot, left + width) };
}

/** Time at a place of the plot, as the address will hold it (s). */
function timeAt(plot: uPlot, leftPx: number): number {
  return toMilliseconds(plot.posToVal(leftPx, 'x'));
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

/** A shorter drag is a click that slipped (px). */
const LEAST_DRAG_PX = 4;
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
