/**
 * Standard normal distribution. `erfc` by its Maclaurin series near zero and by its continued fraction further out
 * (Abramowitz & Stegun 7.1.6 and 7.1.14), so that both tails keep their relative precision.
 */

const SERIES_LIMIT = 2.2;

/** Complementary error function, to about 1e-14 relative. */
export function erfc(x: number): number {
  if (Number.isNaN(x)) return Number.NaN;
  if (x < 0) return 2 - erfc(-x);
  if (x > 27.5) return 0;
  return x < SERIES_LIMIT ? 1 - erfSeries(x) : erfcFraction(x);
}

function erfSeries(x: number): number {
  let term = x;
  let sum = x;
  for (let n = 1; term > sum * 1e-17; n += 1) {
    term *= (2 * x * x) / (2 * n + 1);
    sum += term;
  }
  return (2 / Math.sqrt(Math.PI)) * Math.exp(-x * x) * sum;
}

/** √π e^{x²} erfc(x) = 1/(x + (1/2)/(x + 1/(x + (3/2)/(x + …)))), evaluated from the far end. */
function erfcFraction(x: number): number {
  let tail = x;
  for (let n = 80; n >= 1; n -= 1) tail = x + n / 2 / tail;
  return Math.exp(-x * x) / (Math.sqrt(Math.PI) * tail);
}

/** P(Z ≤ z). @example normalCdf(1.959963984540054) // 0.975 */
export function normalCdf(z: number): number {
  return 0.5 * erfc(-z / Math.SQRT2);
}

/**
 * The z with P(Z ≤ z) = p. Starts from Abramowitz & Stegun 26.2.23 (error below 4.5e-4) and polishes with Halley
 * steps. −∞ at 0, ∞ at 1; throws outside [0, 1].
 * @example normalQuantile(0.975) // 1.959963984540054
 */
export function normalQuantile(p: number): number {
  if (!(p >= 0 && p <= 1)) throw new RangeError(`normalQuantile needs 0 ≤ p ≤ 1, found ${p}`);
  if (p === 0) return Number.NEGATIVE_INFINITY;
  if (p === 1) return Number.POSITIVE_INFINITY;
  if (p > 0.5) return -lowerQuantile(1 - p);
  return lowerQuantile(p);
}

function lowerQuantile(p: number): number {
  const t = Math.sqrt(-2 * Math.log(p));
  let z = -t + (2.515517 + t * (0.802853 + t * 0.010328)) / (1 + t * (1.432788 + t * (0.189269 + t * 0.001308)));
  for (let step = 0; step < 3; step += 1) {
    const density = Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI);
    if (density === 0) break;
    const newton = (normalCdf(z) - p) / density;
    z -= newton / (1 + 0.5 * z * newton);
  }
  return z;
}

/** The two-sided critical value of a confidence level. @example normalCritical(0.95) // 1.959963984540054 */
export function normalCritical(confidence: number): number {
  return normalQuantile(0.5 + confidence / 2);
}
