/**
 * Sparse Cholesky factor of a symmetric positive definite matrix by the up-looking method with an elimination tree
 * (Davis 2006, Direct Methods for Sparse Linear Systems, ch. 4). The pattern is analysed once; numbers are factored
 * as often as wanted. No reordering: the caller numbers the unknowns so that few entries fill in.
 */

/** Upper triangle by columns: column k holds rows `rowIndex[columnStart[k] … columnStart[k + 1])`, each ≤ k. */
export interface UpperPattern {
  readonly size: number;
  readonly columnStart: Int32Array;
  readonly rowIndex: Int32Array;
}

/** The factor's pattern and workspace; `values` holds L by columns, the diagonal first. */
export interface SparseFactor {
  readonly pattern: UpperPattern;
  /** Parent in the elimination tree; −1 at a root. */
  readonly parent: Int32Array;
  readonly columnStart: Int32Array;
  readonly rowIndex: Int32Array;
  readonly values: Float64Array;
}

/** Elimination tree and column sizes of the factor. O(entries of the factor). */
export function analysePattern(pattern: UpperPattern): SparseFactor {
  const { size } = pattern;
  const parent = eliminationTree(pattern);
  const counts = new Int32Array(size).fill(1);
  const mark = new Int32Array(size).fill(-1);
  for (let k = 0; k < size; k += 1) {
    mark[k] = k;
    forEachAbove(pattern, parent, mark, k, (i) => {
      counts[i] += 1;
    });
  }
  const columnStart = new Int32Array(size + 1);
  for (let k = 0; k < size; k += 1) columnStart[k + 1] = columnStart[k] + counts[k];
  const entries = columnStart[size];
  return { pattern, parent, columnStart, rowIndex: new Int32Array(entries), values: new Float64Array(entries) };
}

function eliminationTree({ size, columnStart, rowIndex }: UpperPattern): Int32Array {
  const parent = new Int32Array(size).fill(-1);
  const ancestor = new Int32Array(size).fill(-1);
  for (let k = 0; k < size; k += 1) {
    for (let p = columnStart[k]; p < columnStart[k + 1]; p += 1) {
      let i = rowIndex[p];
      while (i !== -1 && i < k) {
        const next = ancestor[i];
        ancestor[i] = k;
        if (next === -1) parent[i] = k;
        i = next;
      }
    }
  }
  return parent;
}

/** Visits the columns i < k with L[k, i] ≠ 0, in no particular order. */
function forEachAbove(
  { columnStart, rowIndex }: UpperPattern,
  parent: Int32Array,
  mark: Int32Array,
  k: number,
  visit: (i: number) => void,
): void {
  for (let p = columnStart[k]; p < columnStart[k + 1]; p += 1) {
    for (let i = rowIndex[p]; mark[i] !== k; i = parent[i]) {
      visit(i);
      mark[i] = k;
    }
  }
}

/**
 * Factors the matrix with these upper-triangle `values` (aligned with the pattern's `rowIndex`) into `factor`.
 * Throws when it is not positive definite.
 */
export function factorise(factor: SparseFactor, values: Float64Array): void {
  const { pattern, parent, columnStart, rowIndex } = factor;
  const { size } = pattern;
  const next = Int32Array.from(columnStart.subarray(0, size));
  const work = new Float64Array(size);
  const mark = new Int32Array(size).fill(-1);
  const path = new Int32Array(size);
  const stack = new Int32Array(size);
  for (let k = 0; k < size; k += 1) {
    mark[k] = k;
    let top = size;
    for (let p = pattern.columnStart[k]; p < pattern.columnStart[k + 1]; p += 1) {
      const row = pattern.rowIndex[p];
      work[row] += values[p];
      let length = 0;
      for (let i = row; mark[i] !== k; i = parent[i]) {
        path[length++] = i;
        mark[i] = k;
      }
      while (length > 0) stack[--top] = path[--length];
    }
    let diagonal = work[k];
    work[k] = 0;
    for (; top < size; top += 1) {
      const i = stack[top];
      const entry = work[i] / factor.values[columnStart[i]];
      work[i] = 0;
      for (let p = columnStart[i] + 1; p < next[i]; p += 1) work[rowIndex[p]] -= factor.values[p] * entry;
      diagonal -= entry * entry;
      rowIndex[next[i]] = k;
      factor.values[next[i]++] = entry;
    }
    if (!(diagonal > 0)) throw new RangeError(`factorise needs a positive definite matrix, pivot ${k} is ${diagonal}`);
    rowIndex[next[k]] = k;
    factor.values[next[k]++] = Math.sqrt(diagonal);
  }
}

/** Solves L x = b in place. */
export function solveLower({ pattern, columnStart, rowIndex, values }: SparseFactor, x: Float64Array): void {
  for (let k = 0; k < pattern.size; k += 1) {
    x[k] /= values[columnStart[k]];
    const pivot = x[k];
    for (let p = columnStart[k] + 1; p < columnStart[k + 1]; p += 1) x[rowIndex[p]] -= values[p] * pivot;
  }
}

/** Solves Lᵀ x = b in place. */
export function solveUpper({ pattern, columnStart, rowIndex, values }: SparseFactor, x: Float64Array): void {
  for (let k = pattern.size - 1; k >= 0; k -= 1) {
    let sum = x[k];
    for (let p = columnStart[k] + 1; p < columnStart[k + 1]; p += 1) sum -= values[p] * x[rowIndex[p]];
    x[k] = sum / values[columnStart[k]];
  }
}

/**
 * Solves L x = b in place where b is zero before `first` and outside the elimination path from `first`. `x` outside
 * that path, walked from `first` along `parent`, is neither read nor written.
 */
export function solveLowerAlongPath(factor: SparseFactor, x: Float64Array, first: number): void {
  const { parent, columnStart, rowIndex, values } = factor;
  for (let k = first; k !== -1; k = parent[k]) {
    x[k] /= values[columnStart[k]];
    const pivot = x[k];
    for (let p = columnStart[k] + 1; p < columnStart[k + 1]; p += 1) x[rowIndex[p]] -= values[p] * pivot;
  }
}

/** ln det of the factored matrix. */
export function logDeterminant({ pattern, columnStart, values }: SparseFactor): number {
  let sum = 0;
  for (let k = 0; k < pattern.size; k += 1) sum += Math.log(values[columnStart[k]]);
  return 2 * sum;
}
