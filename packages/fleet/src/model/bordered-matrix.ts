import type { CrossProducts } from './cross-products.js';
import { type RelativeFactor, scaleBlocks } from './relative-factor.js';
import type { UpperPattern } from './sparse-cholesky.js';

/**
 * Upper triangle of the mixed-model equations at one θ: ΛᵀZᵀWZΛ + I, bordered by ΛᵀZᵀWX and XᵀWX of each fixed column and
 * then by those of the response. A fixed column meets only the effects of the levels that it is not 0 for, so that a
 * mean for each shift kind costs little.
 */
export function borderedPattern({ layout, zx, zy }: CrossProducts): UpperPattern {
  const { size, columnStart, rowIndex } = layout.pattern;
  const starts = [...columnStart];
  const rows = [...rowIndex];
  for (const [j, column] of [...zx, zy].entries()) {
    for (const { offset, width, term } of layout.layouts) {
      for (let first = offset; first < offset + width * term.levelCount; first += width) {
        const isMet = column === zy || column.subarray(first, first + width).some((value) => value !== 0);
        for (let c = 0; isMet && c < width; c += 1) rows.push(first + c);
      }
    }
    for (let k = 0; k <= j; k += 1) rows.push(size + k);
    starts.push(rows.length);
  }
  return { size: starts.length - 1, columnStart: Int32Array.from(starts), rowIndex: Int32Array.from(rows) };
}

/** The values of that pattern, written to `values`. */
export function borderedValues(
  { layout, zz, zx, zy, xx, xy, yy }: CrossProducts,
  factors: readonly RelativeFactor[],
  { columnStart, rowIndex }: UpperPattern,
  values: Float64Array,
): void {
  const { size } = layout.pattern;
  scaleBlocks(layout, factors, zz, values);
  let at = zz.length;
  for (const [j, column] of [...zx, zy].entries()) {
    for (const { index, offset, width, term } of layout.layouts) {
      for (const end = offset + width * term.levelCount; rowIndex[at] < end; ) {
        const first = rowIndex[at];
        for (let c = 0; c < width; c += 1) values[at++] = scaledEntry(factors[index], column, first, c);
      }
    }
    const own = j < zx.length ? xx[j] : [...xy, yy];
    for (let k = 0; at < columnStart[size + j + 1]; at += 1, k += 1) values[at] = own[k];
  }
}

/** Entry c of Λᵀv within the level that starts at `first`. */
function scaledEntry(factor: RelativeFactor, v: Float64Array, first: number, c: number): number {
  let sum = 0;
  for (let r = c; r < factor.length; r += 1) sum += factor[r][c] * v[first + r];
  return sum;
}
