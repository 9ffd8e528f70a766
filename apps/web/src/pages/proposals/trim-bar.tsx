import classes from './trim-bar.module.css';

interface TrimBarProps {
  readonly value: number;
  readonly low: number;
  readonly high: number;
  /** Half the width of the bar, in the unit of the values; 0 is in the middle. */
  readonly reach: number;
}

/** A signed value with its interval about 0. Decoration beside the same figures in text. */
export function TrimBar({ value, low, high, reach }: TrimBarProps) {
  const position = (amount: number) => `${50 + 50 * Math.min(1, Math.max(-1, amount / reach))}%`;
  return (
    <span className={classes.track} aria-hidden="true">
      <span className={classes.middle} />
      <span
        className={classes.range}
        style={{ left: position(low), width: `calc(${position(high)} - ${position(low)})` }}
      />
      <span className={classes.point} style={{ left: position(value) }} />
    </span>
  );
}
