import { incompleteBeta, incompleteBetaInverse } from '../special/incomplete-beta.js';
import type { Count, Interval } from './wilson-interval.js';

/** Counts of independent trials and a confidence level such as 0.95. */
type CountAndConfidence = Count & { readonly confidence: number };

/**
 * Clopper and Pearson's interval 1934, Biometrika 26, 404–413: covers at least as often as it says, and so is wide.
 * @example clopperPearsonInterval({ events: 0, trials: 20, confidence: 0.95 }).high // 0.1684
 */
export function clopperPearsonInterval({ events, trials, confidence }: CountAndConfidence): Interval {
  const tail = (1 - confidence) / 2;
  return {
    low: events === 0 ? 0 : incompleteBetaInverse(tail, events, trials - events + 1),
    high: events === trials ? 1 : 1 - incompleteBetaInverse(tail, trials - events, events + 1),
  };
}

/**
 * Equal-tailed posterior interval under Jeffreys' prior, with the end rule of Brown, Cai and DasGupta 2001, Stat. Sci.
 * 16, 101–133: exactly 0 without events, exactly 1 with nothing else.
 */
export function jeffreysInterval({ events, trials, confidence }: CountAndConfidence): Interval {
  const tail = (1 - confidence) / 2;
  const [a, b] = [events + 0.5, trials - events + 0.5];
  return {
    low: events === 0 ? 0 : incompleteBetaInverse(tail, a, b),
    high: events === trials ? 1 : 1 - incompleteBetaInverse(tail, b, a),
  };
}

/**
 * Mid-p interval: Clopper and Pearson's with only half the probability of the observed count in each tail. Method 6 of
 * Newcombe 1998, Stat. Med. 17, 857–872.
 */
export function midPInterval({ events, trials, confidence }: CountAndConfidence): Interval {
  const tail = (1 - confidence) / 2;
  return {
    low: events === 0 ? 0 : midPLimit(events, trials, tail),
    high: events === trials ? 1 : 1 - midPLimit(trials - events, trials, tail),
  };
}

/** The rate at which P(X > events) + P(X = events)/2 = tail; rising in the rate, so halving finds it. */
function midPLimit(events: number, trials: number, tail: number): number {
  const atLeast = (count: number, rate: number) =>
    count > trials ? 0 : incompleteBeta(rate, count, trials - count + 1);
  let low = 0;
  let high = events / trials;
  while (high - low > 1e-15 * high) {
    const middle = (low + high) / 2;
    if (middle === low || middle === high) break;
    if ((atLeast(events, middle) + atLeast(events + 1, middle)) / 2 > tail) high = middle;
    else low = middle;
  }
  return (low + high) / 2;
}
