/** A column of the fixed part, e.g. the intercept (all ones) or 1 for the newer revision. */
export interface FixedColumn {
  readonly name: string;
  readonly values: ArrayLike<number>;
}

/**
 * A grouping factor and what varies by its levels. `columns` defaults to one intercept; several columns of one term
 * are correlated, separate terms are not. Nested factors are given by distinct codes (vehicle, vehicle × shift).
 */
export interface RandomTerm {
  readonly name: string;
  /** Level of each row, 0 ≤ level < levelCount. */
  readonly level: ArrayLike<number>;
  readonly levelCount: number;
  readonly columns?: readonly ArrayLike<number>[];
}

/**
 * Rows of a linear mixed model y = Xβ + Zb + e. A row is one observation, or the mean of `weights` observations that
 * share their columns and levels; then `withinSumOfSquares` is the sum of their squared departures from their means,
 * over all rows, and the fit is the one that the single observations would give.
 */
export interface MixedModelData {
  readonly response: ArrayLike<number>;
  readonly fixed: readonly FixedColumn[];
  readonly random: readonly RandomTerm[];
  /** Whole counts; default 1 each. */
  readonly weights?: ArrayLike<number>;
  readonly withinSumOfSquares?: number;
}
