import { incompleteBetaInverse } from '../special/incomplete-beta.js';
import { ASSUMED_CORRELATION } from './clustered-rate.js';
import { clusterVariance, type VehicleCounts } from './design-effect.js';
import type { Interval } from './wilson-interval.js';

/** One vehicle's rate, drawn towards the fleet's as far as its own shifts are few. */
export interface ShrunkenRate extends Interval {
  /** Posterior mean. */
  readonly rate: number;
  /** Weight of the vehicle's own shifts, 0 (none) to 1. */
  readonly ownWeight: number;
}

/** Correlations outside this would make a prior that is a point or two spikes. */
const CORRELATION_RANGE = { low: 1e-4, high: 0.9 };

/**
 * Empirical-Bayes rate of each vehicle: beta prior with the fleet's mean and the correlation between shifts of one
 * vehicle (analysis of variance, as in `clusterVariance`), binomial shifts. Vehicles without shifts get the prior. The
 * intervals take the prior as known. Source: Casella 1985, Am. Stat. 39, 83–87 (the idea); beta-binomial algebra.
 */
export function shrunkenRates(counts: VehicleCounts, { confidence = 0.95 } = {}): ShrunkenRate[] {
  const { events, trials, rate, intraclassCorrelation } = clusterVariance(counts);
  const estimated = Number.isFinite(intraclassCorrelation) ? intraclassCorrelation : ASSUMED_CORRELATION;
  const correlation = Math.min(CORRELATION_RANGE.high, Math.max(CORRELATION_RANGE.low, estimated));
  // Half an event on each side keeps a fleet without any event from claiming a rate of exactly 0.
  const mean = rate > 0 && rate < 1 ? rate : (events + 0.5) / (trials + 1);
  const priorTrials = (1 - correlation) / correlation;
  const tail = (1 - confidence) / 2;
  return Array.from(counts.trials, (n, j) => {
    const a = mean * priorTrials + counts.events[j];
    const b = (1 - mean) * priorTrials + n - counts.events[j];
    return {
      rate: a / (a + b),
      low: incompleteBetaInverse(tail, a, b),
      high: 1 - incompleteBetaInverse(tail, b, a),
      ownWeight: n / (n + priorTrials),
    };
  });
}
