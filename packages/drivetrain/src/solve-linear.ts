/** A pivot below this, in rows of teeth counts and ones, means that an equation was already implied by the others. */
const PIVOT_TOLERANCE = 1e-9;

/**
 * Solves linear equations by elimination with row pivoting. Each row holds the coefficients and then the right-hand
 * side. Redundant rows are allowed; null when the unknowns are not settled or the rows contradict each other.
 */
export function solveLinear(rows: readonly (readonly number[])[], unknowns: number): number[] | null {
  const matrix = rows.map((row) => [...row]);
  if (matrix.length < unknowns) return null;
  for (let column = 0; column < unknowns; column++) {
    const pivotRow = largestRow(matrix, column);
    const pivot = matrix[pivotRow];
    if (Math.abs(pivot[column]) < PIVOT_TOLERANCE) return null;
    matrix[pivotRow] = matrix[column];
    matrix[column] = pivot;
    for (const row of matrix) {
      if (row === pivot || row[column] === 0) continue;
      const factor = row[column] / pivot[column];
      for (let k = column; k <= unknowns; k++) row[k] -= factor * pivot[k];
    }
  }
  const contradicted = matrix.slice(unknowns).some((row) => Math.abs(row[unknowns]) > PIVOT_TOLERANCE);
  return contradicted ? null : matrix.slice(0, unknowns).map((row, i) => row[unknowns] / row[i]);
}

function largestRow(matrix: readonly (readonly number[])[], column: number): number {
  let best = column;
  for (let row = column + 1; row < matrix.length; row++) {
    if (Math.abs(matrix[row][column]) > Math.abs(matrix[best][column])) best = row;
  }
  return best;
}
