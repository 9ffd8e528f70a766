import type { Rate } from '@syncline/contract';
import { formatCounts, formatInterval, formatShare, formatTooFew } from '../format/rate.js';
import { IntervalBar } from './interval-bar.js';
import classes from './rate-cell.module.css';

interface RateCellProps {
  readonly rate: Rate;
  /** Right end of the interval bar as a share; left out, no bar is drawn. */
  readonly barMax?: number;
  /** Rate to compare with, as a share. */
  readonly reference?: number | undefined;
  /** `full` writes the counts below; `short` keeps them for hover. */
  readonly evidence?: 'full' | 'short';
}

/** A rate never stands alone: counts and interval with it, or why there is none. */
export function RateCell({ rate, barMax, reference, evidence = 'full' }: RateCellProps) {
  if (rate.kind === 'insufficient') {
    return (
      <span className={`${classes.few} hatched`} title={formatCounts(rate)}>
        {formatTooFew(rate)}
      </span>
    );
  }
  return (
    <span className={classes.cell} title={`${formatInterval(rate.low, rate.high)}; ${formatCounts(rate)}`}>
      <span className={classes.rate}>
        {formatShare(rate.rate)} <span className={classes.evidence}>({formatInterval(rate.low, rate.high)})</span>
      </span>
      {barMax !== undefined && (
        <IntervalBar value={rate.rate} low={rate.low} high={rate.high} max={barMax} reference={reference} />
      )}
      {evidence === 'full' && <span className={classes.evidence}>{formatCounts(rate)}</span>}
    </span>
  );
}
