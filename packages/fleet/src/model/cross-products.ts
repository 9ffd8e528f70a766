import { type BlockPattern, findBlocks, firstEffect, type TermLayout } from './block-pattern.js';
import type { MixedModelData } from './mixed-model-data.js';

/** Everything that a mixed model's likelihood needs of its rows; W holds the weights. */
export interface CrossProducts {
  /** Sum of the weights. */
  readonly observations: number;
  readonly layout: BlockPattern;
  /** Upper triangle of ZᵀWZ, aligned with the pattern's `rowIndex`. */
  readonly zz: Float64Array;
  /** ZᵀWX by fixed column. */
  readonly zx: readonly Float64Array[];
  readonly zy: Float64Array;
  /** Lower triangle of XᵀWX. */
  readonly xx: readonly Float64Array[];
  readonly xy: Float64Array;
  readonly yy: number;
}

/** Sums the rows up. `response` stands in for the data's own. O(rows · (fixed + random columns)²). */
export function crossProducts(data: MixedModelData, response: ArrayLike<number>): CrossProducts {
  const layout = findBlocks(data.random, response.length);
  const fixedCount = data.fixed.length;
  const sums = {
    observations: 0,
    layout,
    zz: new Float64Array(layout.pattern.rowIndex.length),
    zx: data.fixed.map(() => new Float64Array(layout.pattern.size)),
    zy: new Float64Array(layout.pattern.size),
    xx: data.fixed.map(() => new Float64Array(fixedCount)),
    xy: new Float64Array(fixedCount),
    yy: data.withinSumOfSquares ?? 0,
  };
  for (let row = 0; row < response.length; row += 1) {
    const weight = data.weights?.[row] ?? 1;
    const y = response[row];
    sums.observations += weight;
    sums.yy += weight * y * y;
    for (let j = 0; j < fixedCount; j += 1) {
      const x = weight * data.fixed[j].values[row];
      sums.xy[j] += x * y;
      for (let k = 0; k <= j; k += 1) sums.xx[j][k] += x * data.fixed[k].values[row];
    }
    addRandomPart(sums, data, row, weight, y);
  }
  return sums;
}

function addRandomPart(sums: CrossProducts, data: MixedModelData, row: number, weight: number, y: number): void {
  const { layouts } = sums.layout;
  for (let b = 0; b < layouts.length; b += 1) {
    const first = firstEffect(layouts[b], row);
    for (let c = 0; c < layouts[b].width; c += 1) {
      const z = weight * effectValue(layouts[b], row, c);
      sums.zy[first + c] += z * y;
      for (let j = 0; j < data.fixed.length; j += 1) sums.zx[j][first + c] += z * data.fixed[j].values[row];
    }
    for (let a = 0; a <= b; a += 1) addBlock(sums, layouts[a], layouts[b], row, weight);
  }
}

function addBlock({ layout, zz }: CrossProducts, a: TermLayout, b: TermLayout, row: number, weight: number): void {
  const { firstColumn, shift } = layout.find(firstEffect(a, row), firstEffect(b, row));
  for (let c = 0; c < b.width; c += 1) {
    const z = weight * effectValue(b, row, c);
    const start = layout.pattern.columnStart[firstColumn + c] + shift;
    const height = a === b ? c + 1 : a.width;
    for (let r = 0; r < height; r += 1) zz[start + r] += z * effectValue(a, row, r);
  }
}

function effectValue({ term }: TermLayout, row: number, column: number): number {
  return term.columns ? term.columns[column][row] : 1;
}
