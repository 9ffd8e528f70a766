import classes from './forest-bar.module.css';

interface ForestBarProps {
  readonly difference: number;
  readonly low: number;
  readonly high: number;
  /** Both ends of the scale lie this far from 0, in the unit of the values. An interval that goes on beyond has a tip there. */
  readonly reach: number;
  /** Side of the mark of one member (px); a pooled estimate is drawn as a lens from end to end instead. */
  readonly markPx?: number;
}

const LENS = 'M0 50Q50 -20 100 50Q50 120 0 50Z';

/** One line of a forest plot. Decoration beside the same figures in text. */
export function ForestBar({ difference, low, high, reach, markPx }: ForestBarProps) {
  const share = (amount: number) => 50 + 50 * Math.min(1, Math.max(-1, amount / reach));
  const extent = { left: `${share(low)}%`, width: `${share(high) - share(low)}%` };
  return (
    <span className={classes.track} aria-hidden="true">
      <span className={classes.zero} />
      {markPx === undefined ? (
        <svg className={classes.lens} style={extent} viewBox="0 0 100 100" preserveAspectRatio="none">
          <path d={LENS} />
        </svg>
      ) : (
        <>
          <span className={classes.range} style={extent} />
          {low < -reach && <span className={`${classes.tip} ${classes.left}`} />}
          {high > reach && <span className={`${classes.tip} ${classes.right}`} />}
          <span
            className={classes.mark}
            style={{ left: `${share(difference)}%`, width: markPx, height: markPx, margin: -markPx / 2 }}
          />
        </>
      )}
    </span>
  );
}

/** What line, mark, lens and tip mean. */
export function ForestKey() {
  return (
    <p className={classes.key}>
      <span>
        <span className={classes.sampleMark} aria-hidden="true" /> a car: the larger the mark, the more it weighs
      </span>
      <span>
        <span className={classes.sampleRange} aria-hidden="true" /> its 95 % interval; a tip at the edge goes on beyond
      </span>
      <span>
        <svg className={classes.sampleLens} viewBox="0 0 100 100" preserveAspectRatio="none" aria-hidden="true">
          <path d={LENS} />
        </svg>{' '}
        all cars together, as wide as their interval
      </span>
    </p>
  );
}
