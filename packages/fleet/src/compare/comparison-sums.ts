/** Sums over strata from which the three differences of methods.md 7 follow. */
export interface ComparisonSums {
  readonly olderShifts: number;
  readonly olderEvents: number;
  readonly newerShifts: number;
  readonly newerEvents: number;
  readonly commonStrata: number;
  /** Σ n0 n1 / n over the common strata. */
  readonly mantelHaenszelWeight: number;
  /** Σ (x1 n0 − x0 n1) / n over the common strata. */
  readonly mantelHaenszelSum: number;
  /** Σ n, Σ n x0 / n0 and Σ n x1 / n1 over the common strata. */
  readonly standardShifts: number;
  readonly standardOlder: number;
  readonly standardNewer: number;
}

/** Newer minus older, over all driving. */
export function unadjusted(sums: ComparisonSums): number {
  return sums.newerEvents / sums.newerShifts - sums.olderEvents / sums.olderShifts;
}

/** Mantel–Haenszel risk difference, weights n0 n1 / (n0 + n1). */
export function mantelHaenszel(sums: ComparisonSums): number {
  return sums.mantelHaenszelSum / sums.mantelHaenszelWeight;
}

/** Rates directly standardised to the pooled driving of the common strata. */
export function standardisedRates(sums: ComparisonSums): { readonly older: number; readonly newer: number } {
  return { older: sums.standardOlder / sums.standardShifts, newer: sums.standardNewer / sums.standardShifts };
}

export function standardised(sums: ComparisonSums): number {
  return (sums.standardNewer - sums.standardOlder) / sums.standardShifts;
}
