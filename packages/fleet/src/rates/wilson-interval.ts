/** A two-sided interval; both ends inclusive. */
export interface Interval {
  readonly low: number;
  readonly high: number;
}

/** `events` out of `trials`; both may be fractional (effective counts). 0 ≤ events ≤ trials, trials > 0. */
export interface Count {
  readonly events: number;
  readonly trials: number;
}

/**
 * Wilson's score interval of a proportion: the rates that a score test does not reject.
 * Source: Wilson 1927; method 3 of Newcombe 1998, Stat. Med. 17, 857–872. The ends at 0 events and at all events are
 * exactly 0 and 1.
 * @param z two-sided normal critical value, e.g. 1.96 for 95 %
 * @example wilsonInterval({ events: 0, trials: 10, z: 1.959964 }).high // 0.2775
 */
export function wilsonInterval({ events, trials, z }: Count & { readonly z: number }): Interval {
  const denominator = 2 * (trials + z * z);
  const centre = 2 * events + z * z;
  const half = z * Math.sqrt(z * z + (4 * events * (trials - events)) / trials);
  return {
    low: events === 0 ? 0 : Math.max(0, (centre - half) / denominator),
    high: events === trials ? 1 : Math.min(1, (centre + half) / denominator),
  };
}

/**
 * Wilson's interval with continuity correction, for those who want at least the nominal coverage with few counts.
 * Source: method 4 of Newcombe 1998, Stat. Med. 17, 857–872.
 */
export function wilsonIntervalWithContinuity({ events, trials, z }: Count & { readonly z: number }): Interval {
  const rate = events / trials;
  const denominator = 2 * (trials + z * z);
  const centre = 2 * events + z * z;
  const half = (side: 1 | -1) =>
    z * Math.sqrt(z * z - side * 2 - 1 / trials + 4 * rate * (trials * (1 - rate) + side)) + 1;
  return {
    low: events === 0 ? 0 : Math.max(0, (centre - half(1)) / denominator),
    high: events === trials ? 1 : Math.min(1, (centre + half(-1)) / denominator),
  };
}
