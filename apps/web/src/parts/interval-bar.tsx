import classes from './interval-bar.module.css';

interface IntervalBarProps {
  readonly value: number;
  readonly low: number;
  readonly high: number;
  /** Right end of the bar, in the unit of the values; the left end is 0. */
  readonly max: number;
  /** A value to compare with, drawn as a dashed line. */
  readonly reference?: number | undefined;
  /** Draws the point as a diamond. */
  readonly isMarked?: boolean;
}

/** Point and interval on a scale from 0. Decoration beside the same figures in text, so hidden from screen readers. */
export function IntervalBar({ value, low, high, max, reference, isMarked = false }: IntervalBarProps) {
  const position = (amount: number) => `${100 * Math.min(1, Math.max(0, amount / max))}%`;
  return (
    <span className={classes.track} aria-hidden="true">
      <span
        className={classes.range}
        style={{ left: position(low), width: `calc(${position(high)} - ${position(low)})` }}
      />
      {reference !== undefined && <span className={classes.reference} style={{ left: position(reference) }} />}
      <span className={`${classes.point} ${isMarked ? classes.odd : ''}`} style={{ left: position(value) }} />
    </span>
  );
}
