/** First and second derivative of a series by a least-squares quadratic over a centred window (Savitzky–Golay). */
export interface LocalDerivatives {
  first: number;
  second: number;
}

/**
 * Fits y ≈ a + b·t + c·t² over the samples from `index − half` to `index + half` and gives b and 2c at the centre, per
 * unit of time. The closed weights of an even grid are used: b = Σ k·y / Σ k², c from the quadratic orthogonal to 1 and k.
 * The window must lie inside the series. Writes into `result`.
 */
export function localDerivatives(
  series: Float64Array,
  index: number,
  half: number,
  stepS: number,
  result: LocalDerivatives,
): void {
  const count = 2 * half + 1;
  const sumSquares = (half * (half + 1) * count) / 3;
  const meanSquare = sumSquares / count;
  const sumFourths = (sumSquares * (3 * half * half + 3 * half - 1)) / 5;
  const norm = sumFourths - count * meanSquare * meanSquare;
  let first = 0;
  let second = 0;
  for (let k = -half; k <= half; k++) {
    const y = series[index + k];
    first += k * y;
    second += (k * k - meanSquare) * y;
  }
  result.first = first / (sumSquares * stepS);
  result.second = (2 * second) / (norm * stepS * stepS);
}
