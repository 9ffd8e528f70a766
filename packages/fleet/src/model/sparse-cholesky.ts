/**
 * Sparse Cholesky factor of a symmetric positive definite matrix by the left-looking method, with the pattern from an elimination
 * tree (Davis 2006, Direct Methods for Sparse Linear Systems, ch. 4). The pattern is analysed once; numbers are factored
 * as often as wanted. No reordering: the caller numbers the unknowns so that few entries fill in.
 */

/** Upper triangle by columns: column k holds rows `rowIndex[columnStart[k] … columnStart[k + 1])`, each ≤ k. */
export interface UpperPattern {
  readonly size: number;
  readonly columnStart: Int32Array;
  readonly rowIndex: Int32Array;
}

/** The factor's pattern and values: L by columns, the diagonal first, rows rising. */
export interface SparseFactor {
  readonly pattern: UpperPattern;
  /** Where in `values` each entry of the pattern starts from. */
  readonly startOf: Int32Array;
  /** Parent in the elimination tree; −1 at a root. */
  readonly parent: Int32Array;
  readonly columnStart: Int32Array;
  readonly rowIndex: Int32Array;
  readonly values: Float64Array;
  /** By rows: the columns i < k with L[k, i] ≠ 0, and where in `values` that entry is. */
  readonly rowStart: Int32Array;
  readonly columnOf: Int32Array;
  readonly placeOf: Int32Array;
}

/** Elimination tree and places of all entries of the factor. O(entries of the factor). */
export function analysePattern(pattern: UpperPattern): SparseFactor {
  const { size } = pattern;
  const parent = eliminationTree(pattern);
  const counts = new Int32Array(size).fill(1);
  const rowStart = new Int32Array(size + 1);
  const columns: number[] = [];
  const mark = new Int32Array(size).fill(-1);
  for (let k = 0; k < size; k += 1) {
    mark[k] = k;
    forEachAbove(pattern, parent, mark, k, (i) => {
      counts[i] += 1;
      columns.push(i);
    });
    rowStart[k + 1] = columns.length;
  }
  const columnStart = new Int32Array(size + 1);
  for (let k = 0; k < size; k += 1) columnStart[k + 1] = columnStart[k] + counts[k];
  const rowIndex = new Int32Array(columnStart[size]);
  const next = columnStart.slice(0, size);
  const columnOf = Int32Array.from(columns);
  const placeOf = new Int32Array(columns.length);
  const startOf = new Int32Array(pattern.rowIndex.length);
  const placeIn = new Int32Array(size);
  for (let k = 0; k < size; k += 1) {
    placeIn[k] = next[k]++;
    rowIndex[placeIn[k]] = k;
    for (let entry = rowStart[k]; entry < rowStart[k + 1]; entry += 1) {
      const i = columnOf[entry];
      placeOf[entry] = placeIn[i] = next[i]++;
      rowIndex[placeOf[entry]] = k;
    }
    for (let p = pattern.columnStart[k]; p < pattern.columnStart[k + 1]; p += 1) {
      startOf[p] = placeIn[pattern.rowIndex[p]];
    }
  }
  const values = new Float64Array(columnStart[size]);
  return { pattern, startOf, parent, columnStart, rowIndex, values, rowStart, columnOf, placeOf };
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

/** A pivot below this part of its diagonal is taken for a linear dependence. */
const PIVOT_TOLERANCE = 1e-12;

/**
 * Factors the matrix with these upper-triangle `values` (aligned with the pattern's `rowIndex`) into `factor`. Returns
 * the first column that depends on those before it, at which it stopped; `size` where none does.
 */
export function factorise(factor: SparseFactor, values: Float64Array): number {
  const { pattern, startOf, columnStart, rowIndex, rowStart, columnOf, placeOf, values: lower } = factor;
  const { size } = pattern;
  lower.fill(0);
  for (let p = 0; p < values.length; p += 1) lower[startOf[p]] = values[p];
  const work = new Float64Array(size);
  for (let k = 0; k < size; k += 1) {
    const [start, end] = [columnStart[k], columnStart[k + 1]];
    for (let p = start; p < end; p += 1) work[rowIndex[p]] = lower[p];
    for (let entry = rowStart[k]; entry < rowStart[k + 1]; entry += 1) {
      const last = columnStart[columnOf[entry] + 1];
      const pivot = lower[placeOf[entry]];
      for (let p = placeOf[entry]; p < last; p += 1) work[rowIndex[p]] -= pivot * lower[p];
    }
    if (!(work[k] > PIVOT_TOLERANCE * lower[start])) return k;
    const root = Math.sqrt(work[k]);
    lower[start] = root;
    for (let p = start + 1; p < end; p += 1) lower[p] = work[rowIndex[p]] / root;
  }
  return size;
}

/**
 * The x with A₁₁ x = a, where the last row of the factored matrix is (aᵀ, c) and A₁₁ what is left without it. Its last
 * entry is −1.
 */
export function solveForLast({ pattern: { size }, columnStart, rowIndex, values }: SparseFactor): Float64Array {
  const x = new Float64Array(size);
  x[size - 1] = -1;
  for (let k = size - 2; k >= 0; k -= 1) {
    let sum = 0;
    for (let p = columnStart[k] + 1; p < columnStart[k + 1]; p += 1) sum -= values[p] * x[rowIndex[p]];
    x[k] = sum / values[columnStart[k]];
  }
  return x;
}

/**
 * Solves L x = b in place for the unknowns before `end`, where b is zero before `first` and outside the elimination path
 * from `first`. `x` outside that path, walked from `first` along `parent`, is not read.
 */
export function solveLowerAlongPath(factor: SparseFactor, x: Float64Array, first: number, end: number): void {
  const { parent, columnStart, rowIndex, values } = factor;
  for (let k = first; k !== -1 && k < end; k = parent[k]) {
    x[k] /= values[columnStart[k]];
    const pivot = x[k];
    for (let p = columnStart[k] + 1; p < columnStart[k + 1]; p += 1) x[rowIndex[p]] -= values[p] * pivot;
  }
}

/** ln of the product of the squared pivots of columns `from` up to `end`: of all, ln det of the factored matrix. */
export function logPivots({ columnStart, values }: SparseFactor, from: number, end: number): number {
  let sum = 0;
  for (let k = from; k < end; k += 1) sum += Math.log(values[columnStart[k]]);
  return 2 * sum;
}
