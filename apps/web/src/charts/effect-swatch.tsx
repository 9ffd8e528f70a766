import { cssColour, divergingColour, faded } from '../theme/palette.js';
import { useScheme } from '../theme/use-scheme.js';
import classes from './effect-swatch.module.css';

interface EffectSwatchProps {
  readonly difference: number;
  readonly low: number;
  readonly high: number;
  /** The difference that has the full colour, in the unit of the values. */
  readonly reach: number;
}

/** What is left of a colour when the interval is as wide as the whole scale. */
const LEAST_CERTAINTY = 0.25;
/** An interval as wide as this share of the scale is hatched as well as faded. */
const WIDE_INTERVAL = 0.5;

/** A difference as a colour of the ramp: blue for less, orange for more, fading and hatching with the interval. */
export function EffectSwatch({ difference, low, high, reach }: EffectSwatchProps) {
  const scheme = useScheme();
  const width = Math.min(1, (high - low) / (2 * reach));
  const colour = faded(divergingColour(difference / reach, scheme), 1 - (1 - LEAST_CERTAINTY) * width, scheme);
  return (
    <span
      className={`${classes.swatch} ${width > WIDE_INTERVAL ? 'hatched' : ''}`}
      style={{ backgroundColor: cssColour(colour) }}
      aria-hidden="true"
    />
  );
}
