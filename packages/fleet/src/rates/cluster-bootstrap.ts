import { seededUniform } from '../special/seeded-random.js';
import type { VehicleCounts } from './design-effect.js';
import type { Interval } from './wilson-interval.js';

export interface BootstrapOptions {
  readonly seed: number;
  /** Default 2000. */
  readonly replicates?: number;
  /** Default 0.95. */
  readonly confidence?: number;
}

/** What resampling whole vehicles says of a statistic; the interval is the percentile one. */
export interface BootstrapResult extends Interval {
  readonly mean: number;
  readonly standardError: number;
  /** Replicates in which the statistic was a number; the others are left out. */
  readonly usableReplicates: number;
}

/**
 * Cluster bootstrap: draws `vehicleCount` vehicles with replacement, `replicates` times, and looks at the spread of the
 * statistic (Davison and Hinkley 1997, Bootstrap Methods and their Application, 3.8). The statistic gets how often each
 * vehicle was drawn and may return NaN where it has no value. Percentile intervals are somewhat short below about 30
 * vehicles; `clusteredRate` is not.
 */
export function clusterBootstrap(
  vehicleCount: number,
  statistic: (timesDrawn: Int32Array) => number,
  { seed, replicates = 2000, confidence = 0.95 }: BootstrapOptions,
): BootstrapResult {
  const uniform = seededUniform(seed);
  const timesDrawn = new Int32Array(vehicleCount);
  const values = new Float64Array(replicates);
  let usable = 0;
  for (let replicate = 0; replicate < replicates; replicate += 1) {
    timesDrawn.fill(0);
    for (let draw = 0; draw < vehicleCount; draw += 1) timesDrawn[Math.floor(uniform() * vehicleCount)] += 1;
    const value = statistic(timesDrawn);
    if (!Number.isNaN(value)) values[usable++] = value;
  }
  return summarise(values.subarray(0, usable).sort(), (1 - confidence) / 2);
}

/** Cluster bootstrap of a pooled rate. */
export function bootstrapRate({ events, trials }: VehicleCounts, options: BootstrapOptions): BootstrapResult {
  return clusterBootstrap(
    trials.length,
    (timesDrawn) => {
      let eventSum = 0;
      let trialSum = 0;
      for (let j = 0; j < timesDrawn.length; j += 1) {
        eventSum += timesDrawn[j] * events[j];
        trialSum += timesDrawn[j] * trials[j];
      }
      return trialSum === 0 ? Number.NaN : eventSum / trialSum;
    },
    options,
  );
}

function summarise(sorted: Float64Array, tail: number): BootstrapResult {
  const count = sorted.length;
  const mean = sorted.reduce((sum, value) => sum + value, 0) / count;
  const squares = sorted.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  return {
    mean,
    standardError: Math.sqrt(squares / (count - 1)),
    low: sortedQuantile(sorted, tail),
    high: sortedQuantile(sorted, 1 - tail),
    usableReplicates: count,
  };
}

/** Linear between order statistics (type 7 of Hyndman and Fan 1996). NaN of nothing. */
function sortedQuantile(sorted: Float64Array, q: number): number {
  if (sorted.length === 0) return Number.NaN;
  const position = q * (sorted.length - 1);
  const below = Math.floor(position);
  const above = Math.min(below + 1, sorted.length - 1);
  return sorted[below] + (position - below) * (sorted[above] - sorted[below]);
}
