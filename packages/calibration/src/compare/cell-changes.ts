/** Cell by cell departure of one array of values from another, and its size as a whole. */
export interface CellChanges {
  readonly absolute: readonly number[];
  /** Change as a share of the base (%); null where the base is 0 and the other is not. */
  readonly percent: readonly (number | null)[];
  readonly changedCells: number;
  readonly largestAbsolute: number;
  /** Largest |percent| among the cells that have one; null if none has. */
  readonly largestPercent: number | null;
  /** Largest |percent|, a cell whose base is 0 counting by its change as a share of `span` (%). For ranking only. */
  readonly rank: number;
}

/**
 * Compares two row-major arrays of equal length. One pass, since two revisions may differ in a million cells.
 * @param span width of the table's limits, the yardstick where a share of the base does not exist
 */
export function cellChanges(base: readonly number[], other: readonly number[], span: number): CellChanges {
  const absolute: number[] = [];
  const percent: (number | null)[] = [];
  let changedCells = 0;
  let largestAbsolute = 0;
  let largestPercent: number | null = null;
  let rank = 0;
  for (let i = 0; i < base.length; i++) {
    const change = other[i] - base[i];
    const share = percentOf(change, base[i]);
    absolute.push(change);
    percent.push(share);
    if (change !== 0) changedCells++;
    largestAbsolute = Math.max(largestAbsolute, Math.abs(change));
    if (share !== null) largestPercent = Math.max(largestPercent ?? 0, Math.abs(share));
    rank = Math.max(rank, Math.abs(share ?? (100 * change) / span));
  }
  return { absolute, percent, changedCells, largestAbsolute, largestPercent, rank };
}

function percentOf(change: number, base: number): number | null {
  if (change === 0) return 0;
  return base === 0 ? null : (100 * change) / Math.abs(base);
}
