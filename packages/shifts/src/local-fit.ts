/** Value and derivatives of a local polynomial at the point asked for. */
export interface LocalFit {
  value: number;
  slope: number;
  /** Second derivative. */
  curvature: number;
  /** Samples that the fit rests on. */
  count: number;
}

/**
 * Least-squares quadratic through samples `from` to `to` (exclusive) of irregular, rising times, read at time `atS`.
 * With regular sampling and `atS` in the middle it equals the quadratic filter of Savitzky and Golay (1964).
 * Fewer than three samples give the line or the value that they allow; `count` 0 gives NaN. Writes into `out`.
 */
export function fitLocalQuadratic(
  timeS: Float64Array,
  values: Float64Array,
  { from, to, atS }: { readonly from: number; readonly to: number; readonly atS: number },
  out: LocalFit,
): void {
  let s1 = 0;
  let s2 = 0;
  let s3 = 0;
  let s4 = 0;
  let y0 = 0;
  let y1 = 0;
  let y2 = 0;
  const count = to - from;
  // Values are taken relative to the first so that a large offset costs no digits.
  const offset = count > 0 ? (values[from] as number) : Number.NaN;
  for (let i = from; i < to; i++) {
    const x = (timeS[i] as number) - atS;
    const y = (values[i] as number) - offset;
    const xx = x * x;
    s1 += x;
    s2 += xx;
    s3 += xx * x;
    s4 += xx * xx;
    y0 += y;
    y1 += x * y;
    y2 += xx * y;
  }
  out.count = count;
  if (count < 3) {
    fitLine(count, { s1, s2, y0, y1 }, out);
    out.value += offset;
    return;
  }
  // Cramer's rule on the 3 × 3 normal equations.
  const m11 = s2 * s4 - s3 * s3;
  const m12 = s1 * s4 - s2 * s3;
  const m13 = s1 * s3 - s2 * s2;
  const determinant = count * m11 - s1 * m12 + s2 * m13;
  out.value = offset + (y0 * m11 - y1 * m12 + y2 * m13) / determinant;
  out.slope = (-y0 * m12 + y1 * (count * s4 - s2 * s2) - y2 * (count * s3 - s1 * s2)) / determinant;
  out.curvature = (2 * (y0 * m13 - y1 * (count * s3 - s1 * s2) + y2 * (count * s2 - s1 * s1))) / determinant;
}

function fitLine(count: number, sums: { s1: number; s2: number; y0: number; y1: number }, out: LocalFit): void {
  const determinant = count * sums.s2 - sums.s1 * sums.s1;
  out.curvature = Number.NaN;
  if (count < 2 || determinant === 0) {
    out.value = sums.y0 / count;
    out.slope = Number.NaN;
    return;
  }
  out.value = (sums.y0 * sums.s2 - sums.y1 * sums.s1) / determinant;
  out.slope = (count * sums.y1 - sums.s1 * sums.y0) / determinant;
}

/**
 * Convolution weights of the Savitzky–Golay filter (oldest first) for an odd number of points at unit spacing: the
 * given derivative, at the middle point, of the least-squares polynomial. Divide by dt to the power of `derivative`.
 * Source: Savitzky and Golay, Anal. Chem. 36 (1964) 1627; Gram polynomials after Gorry, Anal. Chem. 62 (1990) 570.
 * @example savitzkyGolayWeights({ points: 5, order: 2, derivative: 0 })   // [-3, 12, 17, 12, -3] / 35
 */
export function savitzkyGolayWeights(options: { points: number; order: number; derivative: number }): Float64Array {
  const { points, order, derivative } = options;
  if (points % 2 === 0 || order >= points) {
    throw new RangeError(`Savitzky–Golay needs an odd number of points above the order, got ${points} and ${order}`);
  }
  const half = (points - 1) / 2;
  return Float64Array.from({ length: points }, (_, index) => {
    let weight = 0;
    for (let k = 0; k <= order; k++) {
      const norm = ((2 * k + 1) * fallingProduct(2 * half, k)) / fallingProduct(2 * half + k + 1, k + 1);
      weight += norm * gram(index - half, half, k, 0) * gram(0, half, k, derivative);
    }
    return weight;
  });
}

/** Gram polynomial of degree k over -half…half, or its derivative, at i (Gorry 1990, eq. 10 and 11). */
function gram(i: number, half: number, k: number, derivative: number): number {
  if (k < 0 || derivative < 0) return 0;
  if (k === 0) return derivative === 0 ? 1 : 0;
  const scale = k * (2 * half - k + 1);
  const step = i * gram(i, half, k - 1, derivative) + derivative * gram(i, half, k - 1, derivative - 1);
  return ((4 * k - 2) / scale) * step - (((k - 1) * (2 * half + k)) / scale) * gram(i, half, k - 2, derivative);
}

function fallingProduct(top: number, factors: number): number {
  let product = 1;
  for (let i = 0; i < factors; i++) product *= top - i;
  return product;
}
