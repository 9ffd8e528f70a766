import { studentCritical } from '../special/student.js';
import { clusterVariance, designEffect, type VehicleCounts } from './design-effect.js';
import { type EvidenceThresholds, evidenceOf, findShortfall, type TooFew } from './evidence.js';
import { wilsonInterval } from './wilson-interval.js';

/** A rate over a fleet with its interval. */
export interface RateEstimate {
  readonly kind: 'estimate';
  /** Events per shift, 0 to 1. */
  readonly rate: number;
  readonly low: number;
  readonly high: number;
  readonly events: number;
  readonly shifts: number;
  readonly vehicles: number;
  /** Variance over that of independent shifts; at least 1. */
  readonly designEffect: number;
  /** Independent shifts that would tell as much: shifts / designEffect. */
  readonly effectiveTrials: number;
}

export type ClusteredRate = RateEstimate | TooFew;

export interface ClusteredRateOptions extends Partial<EvidenceThresholds> {
  /** Default 0.95. */
  readonly confidence?: number;
  /** Correlation between shifts of one vehicle where no (or every) shift was an event. Default 0.05. */
  readonly assumedCorrelation?: number;
}

/** Between the 0.01 and 0.15 that repeated shifts of one car commonly show. */
export const ASSUMED_CORRELATION = 0.05;

/**
 * Rate of an outcome over a fleet with repeated shifts per vehicle (methods.md 7): Wilson's interval on the effective
 * counts, with Student's critical value for vehicles − 1 degrees of freedom because the design effect is itself
 * estimated from the vehicles. Too little evidence is said, not guessed. O(vehicles).
 */
export function clusteredRate(counts: VehicleCounts, options: ClusteredRateOptions = {}): ClusteredRate {
  const { confidence = 0.95, assumedCorrelation = ASSUMED_CORRELATION } = options;
  const variance = clusterVariance(counts);
  const { events, trials, vehicles, rate } = variance;
  const shortfall = findShortfall({ shifts: trials, vehicles }, evidenceOf(options));
  if (shortfall) return shortfall;
  const effect = designEffect(variance, assumedCorrelation);
  const interval = wilsonInterval({
    events: events / effect,
    trials: trials / effect,
    z: studentCritical(confidence, vehicles - 1),
  });
  return {
    kind: 'estimate',
    rate,
    ...interval,
    events,
    shifts: trials,
    vehicles,
    designEffect: effect,
    effectiveTrials: trials / effect,
  };
}
