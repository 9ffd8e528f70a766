import { cssColour, type Rgb } from '../theme/palette.js';
import classes from './ramp-key.module.css';

interface RampKeyProps {
  readonly low: string;
  readonly high: string;
  /** Colour at a share of the ramp, 0 at its left end. */
  readonly colourAt: (share: number) => Rgb;
}

const STOPS = 10;

/** What the colours of a grid mean: both ends with number and unit. */
export function RampKey({ low, high, colourAt }: RampKeyProps) {
  const stops = Array.from({ length: STOPS }, (_, step) => cssColour(colourAt(step / (STOPS - 1))));
  return (
    <span className={classes.key}>
      {low}
      <span className={classes.ramp} style={{ background: `linear-gradient(to right, ${stops.join(', ')})` }} />
      {high}
    </span>
  );
}
