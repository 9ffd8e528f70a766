import type { Interval } from '../rates/wilson-interval.js';

/** An approximately normal estimate and the spread of effects that the sequential test is tuned for. */
export interface MixtureInput {
  readonly estimate: number;
  readonly standardError: number;
  /** Standard deviation τ of the mixing distribution: about the effect that matters. */
  readonly mixingSd: number;
}

/**
 * ln of the mixture likelihood ratio against `nullValue`: with s the standard error,
 * Λ = √(s²/(s²+τ²)) · exp(τ²(estimate − null)² / (2s²(s²+τ²))). Under the null it exceeds 1/α at any look with
 * probability at most α. Robbins 1970, Ann. Math. Stat. 41, 1397–1409.
 */
export function logMixtureRatio({ estimate, standardError, mixingSd }: MixtureInput, nullValue = 0): number {
  const variance = standardError ** 2;
  const total = variance + mixingSd ** 2;
  const departure = estimate - nullValue;
  return 0.5 * Math.log(variance / total) + (mixingSd ** 2 * departure ** 2) / (2 * variance * total);
}

/**
 * Number of standard errors that a confidence sequence extends: where the mixture ratio reaches 1/α. Grows without end
 * while the standard error is large against τ.
 */
export function mixtureBoundary(standardError: number, mixingSd: number, confidence: number): number {
  const spread = (mixingSd / standardError) ** 2;
  return Math.sqrt(((1 + spread) / spread) * (Math.log1p(spread) - 2 * Math.log(1 - confidence)));
}

/**
 * Always-valid interval of an estimate with known standard error: the sequence of them covers the truth at every look
 * together with probability `confidence`. Robbins 1970; Johari, Koomen, Pekelis and Walsh 2022, Oper. Res. 70.
 */
export function alwaysValidInterval(input: MixtureInput, confidence = 0.95): Interval {
  const half = mixtureBoundary(input.standardError, input.mixingSd, confidence) * input.standardError;
  return { low: input.estimate - half, high: input.estimate + half };
}
