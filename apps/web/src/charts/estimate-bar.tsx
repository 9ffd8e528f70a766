import classes from './estimate-bar.module.css';

interface Range {
  readonly middle: number;
  readonly low: number;
  readonly high: number;
}

interface EstimateBarProps {
  /** As counted, drawn hollow and thin; null where there is too little. */
  readonly raw: Range | null;
  /** Drawn towards the whole, solid and thick; null where there is none. */
  readonly shrunken: Range | null;
  /** The whole that both are compared with: a dashed line in a shaded strip. */
  readonly whole: Range | null;
  /** Right end of the scale, in the unit of the values; the left end is 0. */
  readonly max: number;
  /** Draws the solid point as a diamond. */
  readonly isMarked?: boolean;
}

/** Two estimates of one rate on a scale from 0. Decoration beside the same figures in text. */
export function EstimateBar({ raw, shrunken, whole, max, isMarked = false }: EstimateBarProps) {
  const position = (amount: number) => `${100 * Math.min(1, Math.max(0, amount / max))}%`;
  const extent = ({ low, high }: Range) => ({
    left: position(low),
    width: `calc(${position(high)} - ${position(low)})`,
  });
  return (
    <span className={classes.track} aria-hidden="true">
      {whole !== null && (
        <>
          <span className={classes.strip} style={extent(whole)} />
          <span className={classes.whole} style={{ left: position(whole.middle) }} />
        </>
      )}
      {raw !== null && (
        <>
          <span className={`${classes.range} ${classes.thin}`} style={extent(raw)} />
          <span className={classes.hollow} style={{ left: position(raw.middle) }} />
        </>
      )}
      {shrunken !== null && (
        <>
          <span className={`${classes.range} ${classes.thick}`} style={extent(shrunken)} />
          <span
            className={`${classes.solid} ${isMarked ? classes.diamond : ''}`}
            style={{ left: position(shrunken.middle) }}
          />
        </>
      )}
    </span>
  );
}

/** What hollow, solid, dashed and shaded mean. */
export function EstimateKey() {
  return (
    <span className={classes.key}>
      <span>
        <span className={`${classes.sample} ${classes.hollowSample}`} aria-hidden="true" /> as counted
      </span>
      <span>
        <span className={`${classes.sample} ${classes.solidSample}`} aria-hidden="true" /> drawn towards the fleet
      </span>
      <span>
        <span className={`${classes.sample} ${classes.wholeSample}`} aria-hidden="true" /> the fleet with its interval
      </span>
    </span>
  );
}
