/**
 * Counts of one yes-or-no outcome by vehicle: `events[j]` of `trials[j]` shifts of vehicle j. Same length, whole or
 * fractional, 0 ≤ events ≤ trials. Vehicles with no trials carry no information and are passed over.
 */
export interface VehicleCounts {
  readonly events: ArrayLike<number>;
  readonly trials: ArrayLike<number>;
}

/** What the spread between vehicles says of a pooled rate. */
export interface ClusterVariance {
  readonly events: number;
  readonly trials: number;
  /** Vehicles with at least one trial. */
  readonly vehicles: number;
  readonly rate: number;
  /** Variance of the rate if all shifts were independent: p(1−p)/n. */
  readonly binomialVariance: number;
  /** Linearised ratio estimator with the factor G/(G−1) (CR1). NaN with fewer than two vehicles. */
  readonly ratioVariance: number;
  /** Delete-one-vehicle jackknife. NaN with fewer than two vehicles. */
  readonly jackknifeVariance: number;
  /** Intraclass correlation by one-way analysis of variance; may be negative; NaN where it is 0/0. */
  readonly intraclassCorrelation: number;
  /** Σn²/n: the mean number of shifts in the vehicle of a randomly picked shift. */
  readonly meanClusterSize: number;
}

/**
 * Variance of a pooled rate with repeated shifts per vehicle, by the usual estimators. O(vehicles).
 * Sources: Cochran 1977, Sampling Techniques, 6.5 (ratio) and 9.3 (intraclass correlation); Efron 1982 (jackknife).
 */
export function clusterVariance({ events, trials }: VehicleCounts): ClusterVariance {
  const sums = sumCounts({ events, trials });
  const rate = sums.events / sums.trials;
  let residual = 0;
  let shiftSum = 0;
  let shiftSquares = 0;
  let between = 0;
  for (let j = 0; j < trials.length; j += 1) {
    const n = trials[j];
    if (n === 0) continue;
    const departure = events[j] - n * rate;
    residual += departure ** 2;
    // By how much the rate falls when this vehicle is left out.
    const shift = departure / (sums.trials - n);
    shiftSum += shift;
    shiftSquares += shift * shift;
    between += departure ** 2 / n;
  }
  const g = sums.vehicles;
  const meanSquareBetween = between / (g - 1);
  const meanSquareWithin = (sums.trials * rate * (1 - rate) - between) / (sums.trials - g);
  const meanClusterSize = sums.squaredTrials / sums.trials;
  const balancedSize = (sums.trials - meanClusterSize) / (g - 1);
  return {
    events: sums.events,
    trials: sums.trials,
    vehicles: g,
    rate,
    binomialVariance: (rate * (1 - rate)) / sums.trials,
    ratioVariance: g < 2 ? Number.NaN : (g / (g - 1)) * (residual / sums.trials ** 2),
    jackknifeVariance: g < 2 ? Number.NaN : ((g - 1) / g) * (shiftSquares - shiftSum ** 2 / g),
    intraclassCorrelation:
      (meanSquareBetween - meanSquareWithin) / (meanSquareBetween + (balancedSize - 1) * meanSquareWithin),
    meanClusterSize,
  };
}

function sumCounts({ events, trials }: VehicleCounts) {
  const sums = { events: 0, trials: 0, squaredTrials: 0, vehicles: 0 };
  for (let j = 0; j < trials.length; j += 1) {
    if (trials[j] === 0) continue;
    sums.events += events[j];
    sums.trials += trials[j];
    sums.squaredTrials += trials[j] ** 2;
    sums.vehicles += 1;
  }
  return sums;
}

/** Kish's design effect of a pooled rate from a correlation between shifts of one vehicle: 1 + (Σn²/n − 1)·ρ. */
export function kishDesignEffect(meanClusterSize: number, intraclassCorrelation: number): number {
  return 1 + (meanClusterSize - 1) * intraclassCorrelation;
}

/**
 * By how much the variance of a rate exceeds that of independent shifts: the larger of the jackknife's ratio and of
 * Kish's, never below 1. Each of the two is too small too often with a dozen vehicles of unequal mileage; the larger
 * keeps its promise (README, coverage). Where no or all shifts were events nothing can be estimated and
 * `assumedCorrelation` stands in.
 */
export function designEffect(variance: ClusterVariance, assumedCorrelation: number): number {
  if (variance.binomialVariance === 0) return kishDesignEffect(variance.meanClusterSize, assumedCorrelation);
  const byJackknife = variance.jackknifeVariance / variance.binomialVariance;
  const byCorrelation = kishDesignEffect(variance.meanClusterSize, variance.intraclassCorrelation);
  return Math.max(1, byJackknife, Number.isNaN(byCorrelation) ? 1 : byCorrelation);
}
