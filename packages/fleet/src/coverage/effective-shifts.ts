/** What one car has driven at an operating point. */
export interface CarShifts {
  readonly vehicleId: string;
  /** The bus dialect that it was observed to speak; null while nothing was observed. */
  readonly dialect: string | null;
  /** Shifts in which the outcome could be told. */
  readonly shifts: number;
  /** Those with the outcome, 0 ≤ events ≤ shifts. */
  readonly events: number;
}

/** How alike outcomes are: 0 ≤ dialect ≤ car < 1. */
export interface ShiftCorrelations {
  /** Between two shifts of one car. */
  readonly car: number;
  /** Between shifts of two cars that speak one dialect. */
  readonly dialect: number;
}

/** Independent shifts that would tell as much of the rate of all cars, and how many of them would be events. */
export interface EffectiveCounts {
  readonly trials: number;
  readonly events: number;
}

/**
 * What shifts of several cars and dialects are worth. The outcome of a shift varies with its dialect (share ρ_d of the
 * variance), with its car (ρ − ρ_d) and by itself (1 − ρ). Car j with n_j shifts then tells v_j = 1/((ρ − ρ_d) + (1 − ρ)/n_j),
 * a dialect with h = Σ v_j of its cars u = 1/(ρ_d + 1/h), and all together T = Σ u independent shifts: generalised least
 * squares of a mean under a two-stage nested covariance (Searle, Casella and McCulloch 1992, Variance Components, 3 and 6;
 * from memory). With ρ_d = 0 it is Σ n_j/(1 + (n_j − 1)ρ), the effective sample size of Kish 1965. So no car tells more
 * than 1/(ρ − ρ_d) shifts however long it drives, no dialect more than 1/ρ_d. The rate is weighted in the same way.
 * Cars whose dialect is not known count as one dialect. O(cars).
 */
export function effectiveShifts(cars: readonly CarShifts[], { car, dialect }: ShiftCorrelations): EffectiveCounts {
  const byDialect = new Map<string | null, { worth: number; rateSum: number }>();
  for (const { dialect: spoken, shifts, events } of cars) {
    if (shifts === 0) continue;
    const worth = 1 / (car - dialect + (1 - car) / shifts);
    const sum = byDialect.get(spoken) ?? { worth: 0, rateSum: 0 };
    sum.worth += worth;
    sum.rateSum += (worth * events) / shifts;
    byDialect.set(spoken, sum);
  }
  let trials = 0;
  let events = 0;
  for (const { worth, rateSum } of byDialect.values()) {
    const worthOfDialect = 1 / (dialect + 1 / worth);
    trials += worthOfDialect;
    events += (worthOfDialect * rateSum) / worth;
  }
  return { trials, events };
}
