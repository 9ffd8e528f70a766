import classes from './effect-bar.module.css';

interface EffectBarProps {
  readonly difference: number;
  readonly low: number;
  readonly high: number;
  /** Both ends of the scale lie this far from 0, in the unit of the values. */
  readonly reach: number;
  /** A hollow point: a figure that is not adjusted. */
  readonly isHollow?: boolean;
}

const REACHES = [0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1];

/** Smallest round reach that holds all ends, so that the bars of a table can be compared by eye. */
export function reachOf(ends: readonly number[]): number {
  const farthest = Math.max(0, ...ends.map(Math.abs));
  return REACHES.find((reach) => reach >= farthest) ?? 1;
}

/** A difference with its interval on a scale around 0. Decoration beside the same figures in text. */
export function EffectBar({ difference, low, high, reach, isHollow = false }: EffectBarProps) {
  const position = (amount: number) => `${50 + 50 * Math.min(1, Math.max(-1, amount / reach))}%`;
  return (
    <span className={classes.track} aria-hidden="true">
      <span className={classes.zero} />
      <span
        className={classes.range}
        style={{ left: position(low), width: `calc(${position(high)} - ${position(low)})` }}
      />
      <span className={`${classes.point} ${isHollow ? classes.hollow : ''}`} style={{ left: position(difference) }} />
    </span>
  );
}
