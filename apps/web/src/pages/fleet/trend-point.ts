import type { OutcomeMeasure, Rate, Spread, TrendResponse } from '@syncline/contract';
import { formatMost, spreadShortfall } from '../../format/measured.js';
import { formatQuantity } from '../../format/quantity.js';
import { formatInterval, formatShare, shortfall } from '../../format/rate.js';

type Revision = TrendResponse['points'][number];

/** One revision on the trend: a rate with its interval, or a median with the range of nine in ten. */
export interface TrendPoint {
  readonly revisionId: string;
  readonly label: string;
  readonly createdAt: string;
  readonly shifts: number;
  readonly vehicles: number;
  /** Null where there is too little evidence. */
  readonly figure: { readonly middle: number; readonly low: number; readonly high: number } | null;
  /** The middle in words, with its unit; a dash without evidence. */
  readonly main: string;
  /** The range in words, or what is missing. */
  readonly side: string;
}

/** Height of the plot and of the place that is held for it (px). */
export const TREND_HEIGHT_PX = 220;

const OUTCOME_KEYS = { flare: 'flare', 'tie-up': 'tieUp', harsh: 'harsh', slow: 'slow' } as const;

/** The rate of one measure under the revision of a point. */
function outcomeOf({ outcome }: Pick<Revision, 'outcome'>, measure: OutcomeMeasure): Rate {
  return outcome[OUTCOME_KEYS[measure]];
}

export function ratePoint(revision: Revision, measure: OutcomeMeasure): TrendPoint {
  const rate = outcomeOf(revision, measure);
  const evidence = placeOf(revision, rate);
  if (rate.kind === 'insufficient') {
    return { ...evidence, figure: null, main: '–', side: `too few: ${shortfall(rate)}` };
  }
  return {
    ...evidence,
    figure: { middle: rate.rate, low: rate.low, high: rate.high },
    main: formatShare(rate.rate),
    side: formatInterval(rate.low, rate.high),
  };
}

export function spreadPoint(revision: Revision, spread: Spread, unit: string): TrendPoint {
  const evidence = placeOf(revision, spread);
  if (spread.kind === 'insufficient') {
    return { ...evidence, figure: null, main: '–', side: `too few: ${spreadShortfall(spread)}` };
  }
  return {
    ...evidence,
    figure: { middle: spread.p50, low: spread.p05, high: spread.p95 },
    main: formatQuantity(spread.p50, unit),
    side: formatMost(spread, unit),
  };
}

function placeOf({ revisionId, label, createdAt }: Revision, { shifts, vehicles }: Rate | Spread) {
  return { revisionId, label, createdAt, shifts, vehicles };
}
