/** Lower Cholesky factor of a small dense symmetric matrix (rows of rows), or the column at which it is singular. */
export type DenseFactor =
  | { readonly kind: 'factor'; readonly lower: Float64Array[] }
  | { readonly kind: 'singular'; readonly column: number };

/** A pivot below this part of its diagonal is taken for a linear dependence. */
const PIVOT_TOLERANCE = 1e-12;

/** Factors a small dense symmetric matrix. Only its lower triangle is read. */
export function factoriseDense(matrix: readonly ArrayLike<number>[]): DenseFactor {
  const lower: Float64Array[] = [];
  for (let i = 0; i < matrix.length; i += 1) {
    const row = new Float64Array(matrix.length);
    for (let j = 0; j <= i; j += 1) {
      let sum = matrix[i][j];
      for (let k = 0; k < j; k += 1) sum -= row[k] * (j === i ? row[k] : lower[j][k]);
      if (j < i) row[j] = sum / lower[j][j];
      else if (sum > PIVOT_TOLERANCE * matrix[i][i]) row[i] = Math.sqrt(sum);
      else return { kind: 'singular', column: i };
    }
    lower.push(row);
  }
  return { kind: 'factor', lower };
}

/** Solves L x = b. */
export function forwardSolve(lower: readonly Float64Array[], b: ArrayLike<number>): Float64Array {
  const x = new Float64Array(lower.length);
  for (let i = 0; i < lower.length; i += 1) {
    let sum = b[i];
    for (let j = 0; j < i; j += 1) sum -= lower[i][j] * x[j];
    x[i] = sum / lower[i][i];
  }
  return x;
}

/** Solves Lᵀ x = b. */
export function backSolve(lower: readonly Float64Array[], b: ArrayLike<number>): Float64Array {
  const x = new Float64Array(lower.length);
  for (let i = lower.length - 1; i >= 0; i -= 1) {
    let sum = b[i];
    for (let j = i + 1; j < lower.length; j += 1) sum -= lower[j][i] * x[j];
    x[i] = sum / lower[i][i];
  }
  return x;
}

/** (L Lᵀ)⁻¹ as rows of rows. */
export function inverseFromFactor(lower: readonly Float64Array[]): Float64Array[] {
  return lower.map((_, column) => {
    const unit = new Float64Array(lower.length);
    unit[column] = 1;
    return backSolve(lower, forwardSolve(lower, unit));
  });
}
