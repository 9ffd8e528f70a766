import { useElementSize } from '@mantine/hooks';
import { type ReactNode, useId } from 'react';
import { formatNumber } from '../format/quantity.js';
import type { PlotMoment, PlotPhase } from './plot-series.js';
import classes from './shift-picture.module.css';

/** A line over the time of the picture; null where missing. */
export interface PictureLine {
  readonly id: string;
  readonly title: string;
  /** Name of its colour in tokens.css. */
  readonly colour: string;
  readonly dash?: string;
  readonly strokeWidth?: number;
  readonly values: readonly (number | null)[];
}

interface ShiftPictureProps {
  /** All that the picture shows, in words. */
  readonly label: string;
  readonly timeS: readonly number[];
  readonly fromS: number;
  readonly toS: number;
  /** The moment that times are counted from (s). */
  readonly zeroS: number;
  readonly unit: string;
  readonly lines: readonly PictureLine[];
  readonly phases: readonly PlotPhase[];
  readonly moments: readonly PlotMoment[];
}

/** Drawn for this width until the place is measured, as on paper that no screen has shown (px). */
const USUAL_WIDTH = 640;
const HEIGHT = 220;
const ROOM = { left: 50, right: 8, top: 20, bottom: 24 };
const PLOT_HEIGHT = HEIGHT - ROOM.top - ROOM.bottom;
const VALUE_TICKS = 4;
/** Above and below the lines, as a share of their range. */
const MARGIN = 0.06;

/** A small drawing that needs no canvas: it stays sharp on paper and is there before any script has run on it. */
export function ShiftPicture(props: ShiftPictureProps) {
  const { label, timeS, fromS, toS, zeroS, unit, lines, phases, moments } = props;
  const hatchId = useId();
  const { ref, width: measured } = useElementSize<HTMLElement>();
  const width = measured || USUAL_WIDTH;
  const plotWidth = width - ROOM.left - ROOM.right;
  const { low, high } = rangeOf(lines);
  const x = (atS: number) => ROOM.left + (plotWidth * (atS - fromS)) / (toS - fromS);
  const y = (value: number) => ROOM.top + PLOT_HEIGHT * (1 - (value - low) / (high - low));
  const clip = (atS: number) => Math.min(toS, Math.max(fromS, atS));
  return (
    <figure className={classes.figure} ref={ref}>
      <svg viewBox={`0 0 ${width} ${HEIGHT}`} className={classes.drawing} role="img" aria-label={label}>
        <pattern id={hatchId} width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
          <path d="M0 0V6" className={classes.hatch} />
        </pattern>
        <Label x={ROOM.left - 5} y={ROOM.top - 6} anchor="end">
          {unit}
        </Label>
        {ticks(low, high, VALUE_TICKS).map((value) => (
          <g key={value}>
            <path d={`M${ROOM.left} ${y(value)}H${width - ROOM.right}`} className={classes.grid} />
            <Label x={ROOM.left - 5} y={y(value) + 3.5} anchor="end">
              {formatNumber(value, 0)}
            </Label>
          </g>
        ))}
        {phases.map(({ fromS: start, toS: end, word, colour, isHatched }) => {
          const [left, right] = [x(clip(start)), x(clip(end))];
          const box = { x: left, y: ROOM.top, width: right - left, height: PLOT_HEIGHT };
          return (
            <g key={word}>
              <rect {...box} style={{ fill: `var(${colour})` }} className={classes.phase} />
              {isHatched && <rect {...box} fill={`url(#${hatchId})`} />}
              <Label x={(left + right) / 2} y={ROOM.top - 6} anchor="middle">
                {right - left > 7 * word.length ? word : ''}
              </Label>
            </g>
          );
        })}
        {moments.map(({ timeS: atS, dash }) => (
          <path
            key={atS}
            d={`M${x(atS)} ${ROOM.top}V${ROOM.top + PLOT_HEIGHT}`}
            className={classes.moment}
            strokeDasharray={dash.join(' ')}
          />
        ))}
        {lines.map(({ id, colour, dash, strokeWidth = 1.5, values }) => (
          <path
            key={id}
            d={pathOf(timeS, values, x, y)}
            className={classes.line}
            style={{ stroke: `var(${colour})`, strokeWidth }}
            strokeDasharray={dash}
          />
        ))}
        {timeTicks(fromS - zeroS, toS - zeroS, plotWidth).map((atS, index, all) => (
          <Label key={atS} x={x(zeroS + atS)} y={HEIGHT - 8} anchor="middle">
            {index === all.length - 1 ? `${formatNumber(atS, 1)} s` : formatNumber(atS, 1)}
          </Label>
        ))}
        <rect x={ROOM.left} y={ROOM.top} width={plotWidth} height={PLOT_HEIGHT} className={classes.frame} />
      </svg>
      <figcaption className={classes.key}>
        {lines.map(({ id, title, colour, dash, strokeWidth = 1.5 }) => (
          <span key={id} className={classes.entry}>
            <svg width="28" height="8" aria-hidden="true">
              <path
                d="M0 4H28"
                className={classes.line}
                style={{ stroke: `var(${colour})`, strokeWidth }}
                strokeDasharray={dash}
              />
            </svg>
            {title}
          </span>
        ))}
      </figcaption>
    </figure>
  );
}

interface LabelProps {
  readonly x: number;
  readonly y: number;
  readonly anchor: 'end' | 'middle';
  readonly children: ReactNode;
}

function Label({ x, y, anchor, children }: LabelProps) {
  return (
    <text x={x} y={y} textAnchor={anchor} className={classes.label}>
      {children}
    </text>
  );
}

function rangeOf(lines: readonly PictureLine[]): { readonly low: number; readonly high: number } {
  const values = lines.flatMap((line) => line.values.filter((value) => value !== null));
  const low = values.reduce((least, value) => Math.min(least, value), Number.POSITIVE_INFINITY);
  const high = values.reduce((most, value) => Math.max(most, value), Number.NEGATIVE_INFINITY);
  if (!(high > low)) return { low: (Number.isFinite(low) ? low : 0) - 1, high: (Number.isFinite(high) ? high : 0) + 1 };
  const margin = MARGIN * (high - low);
  return { low: low - margin, high: high + margin };
}

/** Missing values break the line. */
function pathOf(
  timeS: readonly number[],
  values: readonly (number | null)[],
  x: (atS: number) => number,
  y: (value: number) => number,
): string {
  let text = '';
  let isDrawing = false;
  for (const [index, value] of values.entries()) {
    if (value !== null) {
      text += `${isDrawing ? 'L' : 'M'}${x(timeS[index] as number).toFixed(1)} ${y(value).toFixed(1)}`;
    }
    isDrawing = value !== null;
  }
  return text;
}

/** Round values within a range, about as many as asked for. */
function ticks(low: number, high: number, count: number): number[] {
  const rough = (high - low) / count;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = ([1, 2, 5].find((factor) => factor * power >= rough) ?? 10) * power;
  const first = Math.ceil(low / step);
  return Array.from({ length: Math.floor(high / step) - first + 1 }, (_, index) => (first + index) * step);
}

/** Room that a time needs on the axis (px). */
const TIME_ROOM_PX = 60;

function timeTicks(fromS: number, toS: number, widthPx: number): number[] {
  return ticks(fromS, toS, Math.max(2, Math.floor(widthPx / TIME_ROOM_PX))).slice(0, -1);
}
