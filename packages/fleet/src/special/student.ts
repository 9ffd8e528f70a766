import { incompleteBeta, incompleteBetaInverse } from './incomplete-beta.js';

/** P(T ≤ t) of Student's distribution with `degreesOfFreedom` > 0, not necessarily whole (A&S 26.7.1). */
export function studentCdf(t: number, degreesOfFreedom: number): number {
  const tail = 0.5 * incompleteBeta(degreesOfFreedom / (degreesOfFreedom + t * t), degreesOfFreedom / 2, 0.5);
  return t > 0 ? 1 - tail : tail;
}

/**
 * The t ≥ 0 with P(T > t) = `tail`, for 0 ≤ tail ≤ 0.5; ∞ at 0. Precise for small tails.
 * @example studentUpperQuantile(0.025, 10) // 2.228139
 */
export function studentUpperQuantile(tail: number, degreesOfFreedom: number): number {
  const x = incompleteBetaInverse(2 * tail, degreesOfFreedom / 2, 0.5);
  return Math.sqrt((degreesOfFreedom * (1 - x)) / x);
}

/** The two-sided critical value of a confidence level. @example studentCritical(0.95, 10) // 2.228139 */
export function studentCritical(confidence: number, degreesOfFreedom: number): number {
  return studentUpperQuantile((1 - confidence) / 2, degreesOfFreedom);
}
