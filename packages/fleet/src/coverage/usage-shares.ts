/** Shifts counted at an operating point. */
export interface DrivenCell {
  readonly kind: string;
  readonly loadBand: number;
  readonly temperatureBand: number;
  readonly shifts: number;
}

/**
 * Which share of the fleet's shifts falls on each cell, drawn towards what kind, load and fluid temperature would give
 * if they were independent: u = (x + K·λ)/(N + K) with λ the product of the three shares (half a shift added to each
 * value, so that none is 0) and K = (N² − Σx²)/Σ(x − Nλ)², which makes the expected squared error least. K is one
 * shift at least: shifts that all, or nearly all, fell on one cell have no spread to take it from. So a point that no one
 * has driven yet still has the share that its neighbourhood suggests. Source: Fienberg and Holland 1973, J. Am. Stat.
 * Assoc. 68, 683–691 (from memory). `cells` are all cells of the grid, those never driven too. Sums to 1. O(cells).
 */
export function usageShares(cells: readonly DrivenCell[]): number[] {
  const total = cells.reduce((sum, { shifts }) => sum + shifts, 0);
  const expected = independentShares(cells, total);
  if (total === 0) return expected;
  const squares = cells.reduce((sum, { shifts }) => sum + shifts ** 2, 0);
  const departure = cells.reduce((sum, { shifts }, i) => sum + (shifts - total * expected[i]) ** 2, 0);
  // Counts that are independent to the last digit need no smoothing away from it.
  if (departure === 0) return expected;
  const weight = Math.max((total ** 2 - squares) / departure, 1);
  return cells.map(({ shifts }, i) => (shifts + weight * expected[i]) / (total + weight));
}

function independentShares(cells: readonly DrivenCell[], total: number): number[] {
  const kinds = shareOf(cells, total, ({ kind }) => kind);
  const loads = shareOf(cells, total, ({ loadBand }) => loadBand);
  const temperatures = shareOf(cells, total, ({ temperatureBand }) => temperatureBand);
  const products = cells.map((cell) => kinds(cell) * loads(cell) * temperatures(cell));
  const sum = products.reduce((all, product) => all + product, 0);
  return products.map((product) => product / sum);
}

function shareOf(
  cells: readonly DrivenCell[],
  total: number,
  valueOf: (cell: DrivenCell) => string | number,
): (cell: DrivenCell) => number {
  const counts = new Map<string | number, number>();
  for (const cell of cells) counts.set(valueOf(cell), (counts.get(valueOf(cell)) ?? 0) + cell.shifts);
  return (cell) => ((counts.get(valueOf(cell)) ?? 0) + 0.5) / (total + 0.5 * counts.size);
}
