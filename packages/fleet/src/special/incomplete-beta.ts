import { logGamma } from './log-gamma.js';

/**
 * Regularised incomplete beta function I_x(a, b) for a, b > 0 and 0 ≤ x ≤ 1, to about 1e-13 for moderate a, b.
 * Continued fraction of DLMF 8.17.22 (Lentz), on the side where it converges fast.
 */
export function incompleteBeta(x: number, a: number, b: number): number {
  if (x <= 0) return 0;
  if (x >= 1) return 1;
  if (x > (a + 1) / (a + b + 2)) return 1 - incompleteBeta(1 - x, b, a);
  const logFront = logGamma(a + b) - logGamma(a) - logGamma(b) + a * Math.log(x) + b * Math.log1p(-x);
  return (Math.exp(logFront) * betaFraction(x, a, b)) / a;
}

const TINY = 1e-300;

function betaFraction(x: number, a: number, b: number): number {
  let c = 1;
  let d = 1 / notZero(1 - ((a + b) * x) / (a + 1));
  let value = d;
  for (let m = 1; m <= 10_000; m += 1) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    d = 1 / notZero(1 + even * d);
    c = notZero(1 + even / c);
    value *= d * c;
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    d = 1 / notZero(1 + odd * d);
    c = notZero(1 + odd / c);
    const change = d * c;
    value *= change;
    if (Math.abs(change - 1) < 1e-15) return value;
  }
  return value;
}

function notZero(value: number): number {
  return Math.abs(value) < TINY ? TINY : value;
}

/**
 * The x with I_x(a, b) = p: the quantile of the beta distribution. Newton steps kept inside a shrinking bracket, so it
 * converges for any a, b > 0. Throws outside 0 ≤ p ≤ 1.
 */
export function incompleteBetaInverse(p: number, a: number, b: number): number {
  if (!(p >= 0 && p <= 1)) throw new RangeError(`incompleteBetaInverse needs 0 ≤ p ≤ 1, found ${p}`);
  if (p === 0) return 0;
  if (p === 1) return 1;
  const logNorm = logGamma(a + b) - logGamma(a) - logGamma(b);
  let low = 0;
  let high = 1;
  // First term of the series, I_x ≈ x^a / (a B(a, b)): all there is to it in a far tail.
  let x = Math.min(a / (a + b), Math.exp((Math.log(p * a) - logNorm) / a));
  if (x === 0) return 0;
  for (let step = 0; step < 200; step += 1) {
    const excess = incompleteBeta(x, a, b) - p;
    if (excess === 0) return x;
    if (excess > 0) high = x;
    else low = x;
    const density = Math.exp(logNorm + (a - 1) * Math.log(x) + (b - 1) * Math.log1p(-x));
    const newton = x - excess / density;
    const next = newton > low && newton < high ? newton : (low + high) / 2;
    if (Math.abs(next - x) <= 1e-15 * x || high - low <= 1e-16 * high) return next;
    x = next;
  }
  return x;
}
