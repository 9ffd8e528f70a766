/** Below this the argument is shifted up by the recurrence Γ(x+1) = x Γ(x) before Stirling's series is used. */
const STIRLING_FROM = 12;

/** Coefficients B_{2k} / (2k (2k−1)) of Stirling's series (Abramowitz & Stegun 6.1.41). */
const STIRLING = [1 / 12, -1 / 360, 1 / 1260, -1 / 1680, 1 / 1188, -691 / 360_360, 1 / 156];

/** Natural logarithm of Γ(x) for x > 0, to about 1e-14; NaN otherwise. */
export function logGamma(x: number): number {
  if (!(x > 0)) return Number.NaN;
  let shift = 1;
  let big = x;
  for (; big < STIRLING_FROM; big += 1) shift *= big;
  const inverse = 1 / big;
  let series = 0;
  for (let k = STIRLING.length - 1; k >= 0; k -= 1) series = series * inverse * inverse + STIRLING[k];
  return (big - 0.5) * Math.log(big) - big + 0.5 * Math.log(2 * Math.PI) + series * inverse - Math.log(shift);
}
