import type { Effect } from '@syncline/contract';
import { reachOf } from '../../charts/effect-bar.js';

/** One scale for the bars of all these differences, so that they can be compared by eye (share). */
export function reachOfEffects(effects: readonly Effect[]): number {
  return reachOf(effects.flatMap((effect) => (effect.kind === 'estimate' ? [effect.low, effect.high] : [])));
}

/**
 * One scale for the whole and its parts (share). It holds every difference and the interval of the whole; those of
 * parts with few shifts may go beyond, or they would flatten what is known well.
 */
export function reachOfParts(
  whole: Effect,
  parts: readonly { readonly adjusted: Effect; readonly unadjusted: Effect }[],
): number {
  const differences = parts
    .flatMap(({ adjusted, unadjusted }) => [adjusted, unadjusted])
    .flatMap((effect) => (effect.kind === 'estimate' ? [effect.difference] : []));
  return reachOf([...differences, ...(whole.kind === 'estimate' ? [whole.low, whole.high] : [])]);
}
