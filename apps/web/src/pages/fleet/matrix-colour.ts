import type { MatrixResponse, Rate } from '@syncline/contract';
import { endOf } from '../../format/rate-columns.js';
import { type ColourScheme, cssColour, faded, inkOn, sequentialColour } from '../../theme/palette.js';

const SCALE_ENDS = [0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5, 0.75, 1];
/** An interval as wide as this share of the scale is hatched as well as faded. */
const WIDE_INTERVAL = 0.5;
/** What is left of a colour when its interval is as wide as the scale. */
const LEAST_CERTAINTY = 0.35;

/** Upper end of the colour scale: the first round share that holds every rate of the matrix. */
export function scaleEnd(matrix: MatrixResponse): number {
  const highest = Math.max(0, ...matrix.rows.flatMap((row) => row.cells.map(({ rate }) => endOf(rate, 'rate') ?? 0)));
  return SCALE_ENDS.find((end) => end >= highest) ?? 1;
}

export interface CellLook {
  readonly background: string;
  readonly ink: string;
  readonly isHatched: boolean;
}

/** Colour from the rate, fading and hatching from the width of its interval. Too few shifts: no colour at all. */
export function cellLook(rate: Rate, end: number, scheme: ColourScheme): CellLook {
  if (rate.kind === 'insufficient') return { background: 'transparent', ink: 'var(--ink-soft)', isHatched: true };
  const width = Math.min(1, (rate.high - rate.low) / end);
  const colour = faded(sequentialColour(rate.rate / end), 1 - (1 - LEAST_CERTAINTY) * width, scheme);
  return { background: cssColour(colour), ink: inkOn(colour), isHatched: width > WIDE_INTERVAL };
}
