import type { OutcomeMeasure, Rate, TrendResponse } from '@syncline/contract';

export type TrendPoint = TrendResponse['points'][number];

/** Height of the plot and of the place that is held for it (px). */
export const TREND_HEIGHT_PX = 220;

const OUTCOME_KEYS = { flare: 'flare', 'tie-up': 'tieUp', harsh: 'harsh', slow: 'slow' } as const;

/** The rate of one measure under the revision of a point. */
export function outcomeOf(point: TrendPoint, measure: OutcomeMeasure): Rate {
  return point.outcome[OUTCOME_KEYS[measure]];
}
