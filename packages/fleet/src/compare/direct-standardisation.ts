/** A rate as it would be under a standard mix of driving, for independent shifts. */
export interface StandardisedRate {
  readonly rate: number;
  readonly standardError: number;
}

/**
 * Directly standardised rate Σ W_k p_k / Σ W_k with the binomial standard error (Breslow and Day 1987, Statistical
 * Methods in Cancer Research II, 2.1). Every stratum needs at least one shift: leave out those without, in the
 * weights too. Throws when lengths differ.
 */
export function standardisedRate(strata: {
  readonly events: ArrayLike<number>;
  readonly shifts: ArrayLike<number>;
  readonly weights: ArrayLike<number>;
}): StandardisedRate {
  const { events, shifts, weights } = strata;
  if (events.length !== shifts.length || events.length !== weights.length) {
    throw new RangeError('standardisedRate needs events, shifts and weights of the same length');
  }
  let total = 0;
  let sum = 0;
  let variance = 0;
  for (let k = 0; k < weights.length; k += 1) {
    const rate = events[k] / shifts[k];
    total += weights[k];
    sum += weights[k] * rate;
    variance += (weights[k] ** 2 * rate * (1 - rate)) / shifts[k];
  }
  return { rate: sum / total, standardError: Math.sqrt(variance) / total };
}
