import { formatQuantity } from '../../format/quantity.js';
import { formatShare } from '../../format/rate.js';
import { type ColourScheme, cssColour, faded, inkOn, sequentialColour } from '../../theme/palette.js';
import type { FleetMatrix, MatrixFigure } from './matrix-figure.js';

const SCALE_ENDS = [0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5, 0.75, 1];
/** An interval as wide as this share of the scale is hatched as well as faded. */
const WIDE_INTERVAL = 0.5;
/** What is left of a colour when its interval is as wide as the scale. */
const LEAST_CERTAINTY = 0.35;

/** From which value to which the colours run, and what stands at both ends of their key. */
export interface ColourScale {
  readonly low: number;
  readonly high: number;
  readonly lowText: string;
  readonly highText: string;
}

/** One scale for these matrices, so that their colours can be compared. Rates begin at 0, medians at the lowest. */
export function colourScale(matrices: readonly FleetMatrix[]): ColourScale {
  const values = matrices
    .flatMap(({ rows }) => rows.flatMap(({ cells }) => [...cells.values()]))
    .flatMap(({ value }) => (value === null ? [] : [value]));
  const first = matrices[0];
  if (first === undefined || first.isRate) {
    const highest = Math.max(0, ...values);
    const high = SCALE_ENDS.find((end) => end >= highest) ?? 1;
    return { low: 0, high, lowText: '0', highText: formatShare(high) };
  }
  const [low, high] = values.length === 0 ? [0, 0] : [Math.min(...values), Math.max(...values)];
  return { low, high, lowText: formatQuantity(low, first.unit), highText: formatQuantity(high, first.unit) };
}

export interface CellLook {
  readonly background: string;
  readonly ink: string;
  readonly isHatched: boolean;
}

const NO_EVIDENCE: CellLook = { background: 'transparent', ink: 'var(--ink-soft)', isHatched: true };

/** Colour from the figure, fading and hatching from the width of its interval. Too few shifts: no colour at all. */
export function cellLook({ value, doubt }: MatrixFigure, { low, high }: ColourScale, scheme: ColourScheme): CellLook {
  if (value === null) return NO_EVIDENCE;
  const reach = high - low;
  // Equal medians all over: one colour from the middle of the ramp says so.
  const share = reach > 0 ? (value - low) / reach : 0.5;
  const width = reach > 0 ? Math.min(1, doubt / reach) : 0;
  const colour = faded(sequentialColour(share), 1 - (1 - LEAST_CERTAINTY) * width, scheme);
  return { background: cssColour(colour), ink: inkOn(colour), isHatched: width > WIDE_INTERVAL };
}
