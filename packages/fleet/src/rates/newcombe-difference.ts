import { type Count, type Interval, wilsonInterval } from './wilson-interval.js';

/** first rate − second rate with its interval. */
export interface RateDifference extends Interval {
  readonly difference: number;
}

/**
 * Newcombe's hybrid score interval for the difference of two independent rates: Wilson's limits of each, squared and
 * added. Method 10 of Newcombe 1998, Stat. Med. 17, 873–890. For shifts of one car, or with effective counts.
 * @example newcombeDifference({ events: 56, trials: 70 }, { events: 48, trials: 80 }, 1.959964).low // 0.0524
 */
export function newcombeDifference(first: Count, second: Count, z: number): RateDifference {
  const [p1, p2] = [first.events / first.trials, second.events / second.trials];
  const [one, two] = [wilsonInterval({ ...first, z }), wilsonInterval({ ...second, z })];
  return {
    difference: p1 - p2,
    low: p1 - p2 - Math.hypot(p1 - one.low, two.high - p2),
    high: p1 - p2 + Math.hypot(one.high - p1, p2 - two.low),
  };
}
