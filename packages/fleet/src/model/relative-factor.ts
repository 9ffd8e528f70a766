import type { Block, BlockPattern, TermLayout } from './block-pattern.js';
import type { RandomTerm } from './mixed-model-data.js';
import type { UpperPattern } from './sparse-cholesky.js';

/** Lower triangular T of one term, rows of rows; its effects have covariance σ² T Tᵀ. */
export type RelativeFactor = readonly Float64Array[];

/** Number of elements of θ that a term takes: the lower triangle of its factor. */
export function thetaCount({ columns }: RandomTerm): number {
  const width = columns?.length ?? 1;
  return (width * (width + 1)) / 2;
}

/**
 * Splits θ into one factor per term, in the order of the terms. Within a term θ runs down the columns of the lower
 * triangle.
 */
export function relativeFactors(random: readonly RandomTerm[], theta: ArrayLike<number>): RelativeFactor[] {
  let at = 0;
  return random.map(({ columns }) => {
    const width = columns?.length ?? 1;
    const lower = Array.from({ length: width }, () => new Float64Array(width));
    for (let c = 0; c < width; c += 1) for (let r = c; r < width; r += 1) lower[r][c] = theta[at++];
    return lower;
  });
}

/** θ of unit variances without correlation, from which a fit starts. */
export function unitTheta(random: readonly RandomTerm[]): Float64Array {
  const theta: number[] = [];
  for (const { columns } of random) {
    const width = columns?.length ?? 1;
    for (let c = 0; c < width; c += 1) for (let r = c; r < width; r += 1) theta.push(r === c ? 1 : 0);
  }
  return Float64Array.from(theta);
}

/** ΛᵀAΛ + I on the upper triangle of a block pattern, written to `scaled`. */
export function scaleBlocks(
  { blocks, pattern }: BlockPattern,
  factors: readonly RelativeFactor[],
  values: Float64Array,
  scaled: Float64Array,
): void {
  for (const block of blocks) {
    const rowFactor = factors[block.rowTerm.index];
    const columnFactor = factors[block.columnTerm.index];
    const start = pattern.columnStart[block.firstColumn] + block.shift;
    if (block.rowTerm.width === 1 && block.columnTerm.width === 1) {
      const isDiagonal = block.firstRow === block.firstColumn;
      scaled[start] = rowFactor[0][0] * values[start] * columnFactor[0][0] + (isDiagonal ? 1 : 0);
    } else scaleBlock(block, pattern, rowFactor, columnFactor, values, scaled);
  }
}

function scaleBlock(
  { rowTerm, columnTerm, firstRow, firstColumn, shift }: Block,
  { columnStart }: UpperPattern,
  rowFactor: RelativeFactor,
  columnFactor: RelativeFactor,
  values: Float64Array,
  scaled: Float64Array,
): void {
  const isDiagonal = firstRow === firstColumn;
  const slot = (r: number, c: number) => columnStart[firstColumn + c] + shift + r;
  for (let c = 0; c < columnTerm.width; c += 1) {
    const height = isDiagonal ? c + 1 : rowTerm.width;
    for (let r = 0; r < height; r += 1) {
      let sum = isDiagonal && r === c ? 1 : 0;
      for (let i = r; i < rowTerm.width; i += 1) {
        for (let j = c; j < columnTerm.width; j += 1) {
          // Below the diagonal of a diagonal block nothing is stored; it is symmetric.
          const value = values[isDiagonal && i > j ? slot(j, i) : slot(i, j)];
          sum += rowFactor[i][r] * value * columnFactor[j][c];
        }
      }
      scaled[slot(r, c)] = sum;
    }
  }
}

/** Λu for a vector over all random effects. */
export function timesFactor(
  layouts: readonly TermLayout[],
  factors: readonly RelativeFactor[],
  u: Float64Array,
): Float64Array {
  const out = new Float64Array(u.length);
  for (const { index, offset, width, term } of layouts) {
    const factor = factors[index];
    const end = offset + width * term.levelCount;
    for (let first = offset; first < end; first += width) {
      for (let r = 0; r < width; r += 1) for (let c = 0; c <= r; c += 1) out[first + r] += factor[r][c] * u[first + c];
    }
  }
  return out;
}
