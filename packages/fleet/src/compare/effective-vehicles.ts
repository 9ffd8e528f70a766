/**
 * Degrees of freedom of a variance estimated from vehicles that weigh unequally: effective number of vehicles less one,
 * (Σv)²/Σv² − 1 for shares v in the variance (Kish 1965, Survey Sampling), at least 1. A revision driven by three cars
 * leaves about two, however many drove the other one.
 */
export function effectiveDegreesOfFreedom(shares: ArrayLike<number>): number {
  let total = 0;
  let squares = 0;
  for (let j = 0; j < shares.length; j += 1) {
    total += shares[j];
    squares += shares[j] ** 2;
  }
  return Math.max(1, total ** 2 / squares - 1);
}
