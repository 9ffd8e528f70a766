import type { CompareSpreadsResponse } from '@syncline/contract';
import { reachOf } from '../../charts/effect-bar.js';

type Compared = CompareSpreadsResponse['measures'][number];

/** A difference as shares of the mean of the base, so that quantities of all units share a scale; null where it has none. */
export function relativeEffect({ baseMean, adjusted }: Pick<Compared, 'baseMean' | 'adjusted'>) {
  if (adjusted.kind === 'insufficient' || baseMean === null || baseMean <= 0) return null;
  const { difference, low, high } = adjusted;
  return { difference: difference / baseMean, low: low / baseMean, high: high / baseMean };
}

/** How far the bars of all quantities reach (share of the mean of the base). */
export function relativeReach(measures: readonly Compared[]): number {
  return reachOf(measures.map(relativeEffect).flatMap((effect) => (effect === null ? [] : [effect.low, effect.high])));
}
