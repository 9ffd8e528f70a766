import type { RandomTerm } from './mixed-model-data.js';
import type { UpperPattern } from './sparse-cholesky.js';

/** Where a term's effects sit among all random effects: level l, column c is `offset + l · width + c`. */
export interface TermLayout {
  readonly term: RandomTerm;
  /** Position of the term in the data. */
  readonly index: number;
  readonly offset: number;
  /** Number of columns. */
  readonly width: number;
}

/** A block of ZᵀWZ: the effects of one level (rows) against those of another or the same (columns). */
export interface Block {
  readonly rowTerm: TermLayout;
  readonly columnTerm: TermLayout;
  /** First effect of the rows and of the columns. */
  readonly firstRow: number;
  readonly firstColumn: number;
  /** Column c of the block starts at `columnStart[firstColumn + c] + shift` in the pattern. */
  readonly shift: number;
}

/** Upper triangle of ZᵀWZ as blocks and as a scalar pattern. The block on the diagonal holds its upper triangle. */
export interface BlockPattern {
  readonly layouts: readonly TermLayout[];
  readonly pattern: UpperPattern;
  readonly blocks: readonly Block[];
  /** Block of two effects by their first indices, `firstRow ≤ firstColumn`. */
  readonly find: (firstRow: number, firstColumn: number) => Block;
}

/**
 * Numbers the random effects with the most numerous levels first, so that eliminating them in that order fills in
 * nothing for nested factors and only the smaller factor for crossed ones.
 */
function layOutTerms(random: readonly RandomTerm[]): TermLayout[] {
  const order = [...random.keys()].sort((a, b) => random[b].levelCount - random[a].levelCount);
  let offset = 0;
  return order.map((index) => {
    const term = random[index];
    const layout = { term, index, offset, width: term.columns?.length ?? 1 };
    offset += layout.width * term.levelCount;
    return layout;
  });
}

/** First effect of the term's level in a row. */
export function firstEffect({ term, offset, width }: TermLayout, row: number): number {
  return offset + term.level[row] * width;
}

/** Finds which levels meet in a row. O(rows · terms²). */
export function findBlocks(random: readonly RandomTerm[], rowCount: number): BlockPattern {
  const layouts = layOutTerms(random);
  const columns = new Map<number, Map<number, TermLayout>>();
  for (const layout of layouts) {
    for (let level = 0; level < layout.term.levelCount; level += 1) {
      const first = layout.offset + level * layout.width;
      columns.set(first, new Map([[first, layout]]));
    }
  }
  for (let row = 0; row < rowCount; row += 1) {
    for (let b = 1; b < layouts.length; b += 1) {
      const met = columns.get(firstEffect(layouts[b], row));
      for (let a = 0; a < b; a += 1) met?.set(firstEffect(layouts[a], row), layouts[a]);
    }
  }
  return layOutBlocks(layouts, columns);
}

function layOutBlocks(layouts: TermLayout[], columns: Map<number, Map<number, TermLayout>>): BlockPattern {
  const blocks: Block[] = [];
  const lookUp = new Map<number, Map<number, Block>>();
  const columnStart = [0];
  const rowIndex: number[] = [];
  for (const [firstColumn, met] of columns) {
    const rows = [...met.entries()].sort(([a], [b]) => a - b);
    const columnTerm = rows[rows.length - 1][1];
    const own = new Map<number, Block>();
    let shift = 0;
    for (const [firstRow, rowTerm] of rows) {
      const block = { rowTerm, columnTerm, firstRow, firstColumn, shift };
      blocks.push(block);
      own.set(firstRow, block);
      shift += rowTerm.width;
    }
    lookUp.set(firstColumn, own);
    for (let c = 0; c < columnTerm.width; c += 1) {
      for (const [firstRow, { width }] of rows) {
        const height = firstRow === firstColumn ? c + 1 : width;
        for (let r = 0; r < height; r += 1) rowIndex.push(firstRow + r);
      }
      columnStart.push(rowIndex.length);
    }
  }
  const pattern = {
    size: columnStart.length - 1,
    columnStart: Int32Array.from(columnStart),
    rowIndex: Int32Array.from(rowIndex),
  };
  const find = (firstRow: number, firstColumn: number): Block => {
    const block = lookUp.get(firstColumn)?.get(firstRow);
    if (!block) throw new RangeError(`no block of effects ${firstRow} and ${firstColumn}`);
    return block;
  };
  return { layouts, pattern, blocks, find };
}
