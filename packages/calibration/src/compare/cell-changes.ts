/** A cell by which one array of values departs from another. */
export interface CellChange {
  /** In the row-major arrays. */
  readonly position: number;
  /** Other minus base. */
  readonly absolute: number;
  /** Share of the base (%); null where the base is 0 and the other is not. */
  readonly percent: number | null;
}

/** Cell by cell departure of one array of values from another. */
export interface CellChanges {
  readonly absolute: readonly number[];
  /** Change as a share of the base (%); null where the base is 0 and the other is not. */
  readonly percent: readonly (number | null)[];
}

/** How far one array of values departs from another as a whole. */
export interface ChangeSize {
  readonly cells: number;
  readonly changedCells: number;
  /** The first of the cells that changed most. */
  readonly largestAbsolute: CellChange;
  /** The first of those that changed most as a share of the base; null if no cell has one. */
  readonly largestPercent: CellChange | null;
  /** Largest |percent|, a cell whose base is 0 counting by its change as a share of `span` (%). For ranking only. */
  readonly rank: number;
}

/** Compares two row-major arrays of equal length. */
export function cellChanges(base: readonly number[], other: readonly number[]): CellChanges {
  const absolute = other.map((value, i) => value - base[i]);
  return { absolute, percent: absolute.map((change, i) => percentOf(change, base[i])) };
}

/**
 * How far two row-major arrays of equal length, of one cell at least, lie apart. One pass that makes nothing, since two
 * revisions may differ in a million cells.
 * @param span width of the table's limits, the yardstick where a share of the base does not exist
 */
export function changeSize(base: readonly number[], other: readonly number[], span: number): ChangeSize {
  let [changedCells, absoluteAt, percentAt] = [0, 0, -1];
  let [largestAbsolute, largestPercent, rank] = [0, 0, 0];
  for (let i = 0; i < base.length; i++) {
    const change = other[i] - base[i];
    const share = percentOf(change, base[i]);
    if (share !== null && (percentAt < 0 || Math.abs(share) > largestPercent)) {
      percentAt = i;
      largestPercent = Math.abs(share);
    }
    if (change === 0) continue;
    changedCells++;
    if (Math.abs(change) > largestAbsolute) {
      absoluteAt = i;
      largestAbsolute = Math.abs(change);
    }
    rank = Math.max(rank, Math.abs(share ?? (100 * change) / span));
  }
  return {
    cells: base.length,
    changedCells,
    largestAbsolute: changeAt(base, other, absoluteAt),
    largestPercent: percentAt < 0 ? null : changeAt(base, other, percentAt),
    rank,
  };
}

function changeAt(base: readonly number[], other: readonly number[], position: number): CellChange {
  const absolute = other[position] - base[position];
  return { position, absolute, percent: percentOf(absolute, base[position]) };
}

function percentOf(change: number, base: number): number | null {
  if (change === 0) return 0;
  return base === 0 ? null : (100 * change) / Math.abs(base);
}
