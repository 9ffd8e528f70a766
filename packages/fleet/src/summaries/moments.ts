/** Count, mean and sum of squared departures from it: a mergeable summary of a continuous measure. */
export interface Moments {
  readonly count: number;
  /** NaN when empty. */
  readonly mean: number;
  readonly m2: number;
}

export const NO_MOMENTS: Moments = { count: 0, mean: Number.NaN, m2: 0 };

/** Summary of `values`; NaN stands for a value that was not measured and is passed over. Welford 1962. */
export function momentsOf(values: ArrayLike<number>): Moments {
  let count = 0;
  let mean = 0;
  let m2 = 0;
  for (let i = 0; i < values.length; i += 1) {
    const value = values[i];
    if (Number.isNaN(value)) continue;
    count += 1;
    const step = value - mean;
    mean += step / count;
    m2 += step * (value - mean);
  }
  return count === 0 ? NO_MOMENTS : { count, mean, m2 };
}

/** Summary of both; stable for far means. Order moves only the last digits. Chan, Golub and LeVeque 1979. */
export function mergeMoments(a: Moments, b: Moments): Moments {
  if (a.count === 0) return b;
  if (b.count === 0) return a;
  const count = a.count + b.count;
  const step = b.mean - a.mean;
  return {
    count,
    mean: a.mean + (step * b.count) / count,
    m2: a.m2 + b.m2 + (step * step * a.count * b.count) / count,
  };
}

/** Unbiased variance; NaN below two values. */
export function varianceOf({ count, m2 }: Moments): number {
  return count < 2 ? Number.NaN : m2 / (count - 1);
}
