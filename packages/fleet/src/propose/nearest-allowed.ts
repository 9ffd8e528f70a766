import type { NeighbourBound } from './neighbour-bounds.js';

/** Where a node may go, on the grid; `low ≤ present ≤ high` and `wanted` between. */
export interface NodeRange {
  readonly present: number;
  readonly wanted: number;
  readonly low: number;
  readonly high: number;
  /** How easily it gives way to its neighbours: the variance of what is wanted. */
  readonly variance: number;
}

/** Sweeps of the projection; it is only the aim, `keepAllowed` sees to exactness. */
const MAX_SWEEPS = 400;
const SETTLED = 1e-7;
/** Nodes differ in mobility by at most this, or the sweeps take long. */
const MOBILITY_RANGE = 100;

/**
 * The values nearest to what is wanted, weighted by certainty, that keep all bounds: isotonic regression with boxes and
 * slope limits, by Dykstra's alternating projections (Boyle and Dykstra 1986). To about 1e-6 of a grid step.
 */
export function nearestAllowed(nodes: readonly NodeRange[], bounds: readonly NeighbourBound[]): number[] {
  const x = nodes.map(({ wanted }) => wanted);
  if (bounds.every(({ a, b, low, high }) => x[b] - x[a] >= low && x[b] - x[a] <= high)) return x;
  const mobility = mobilityOf(nodes);
  const held = x.map(() => 0);
  const multipliers = bounds.map(() => 0);
  for (let sweep = 0; sweep < MAX_SWEEPS; sweep += 1) {
    let moved = 0;
    for (const [c, { a, b, low, high }] of bounds.entries()) {
      const give = mobility[a] + mobility[b];
      if (give === 0) continue;
      const difference = x[b] - x[a] + give * multipliers[c];
      const force = (Math.min(high, Math.max(low, difference)) - difference) / give;
      const shift = multipliers[c] + force;
      x[a] -= mobility[a] * shift;
      x[b] += mobility[b] * shift;
      multipliers[c] = -force;
      moved = Math.max(moved, Math.abs(shift) * give);
    }
    for (const [i, { low, high }] of nodes.entries()) {
      const free = x[i] + held[i];
      const kept = Math.min(high, Math.max(low, free));
      moved = Math.max(moved, Math.abs(kept - x[i]));
      held[i] = free - kept;
      x[i] = kept;
    }
    if (moved < SETTLED) break;
  }
  return x;
}

/** 0 for nodes that must stay, else by variance, the most mobile at 1. */
function mobilityOf(nodes: readonly NodeRange[]): number[] {
  const free = nodes.filter(({ low, high }) => high > low);
  const largest = Math.max(0, ...free.map(({ variance }) => variance).filter(Number.isFinite));
  return nodes.map(({ low, high, variance }) => {
    if (!(high > low)) return 0;
    const part = variance / largest;
    return Number.isFinite(part) ? Math.min(1, Math.max(1 / MOBILITY_RANGE, part)) : 1;
  });
}

/**
 * The same aim made exact: of all values between `present` and `aim` that keep the bounds, the highest for nodes that
 * rise and then the lowest for those that fall. Bounds on differences form a lattice, so both exist, and no node moves
 * against its own evidence. Needs `present` to keep the bounds. Raising comes first: too little pressure is worse.
 */
export function keepAllowed(
  present: readonly number[],
  aim: readonly number[],
  bounds: readonly NeighbourBound[],
): number[] {
  const x = present.map((value, i) => Math.max(value, aim[i]));
  relax(x, bounds, ({ a, b, low, high }) => {
    x[b] = Math.min(x[b], x[a] + high);
    x[a] = Math.min(x[a], x[b] - low);
  });
  for (const [i, value] of present.entries()) if (aim[i] < value) x[i] = Math.min(x[i], aim[i]);
  relax(x, bounds, ({ a, b, low, high }) => {
    x[b] = Math.max(x[b], x[a] + low);
    x[a] = Math.max(x[a], x[b] - high);
  });
  // Rounding of values that are not whole steps could carry a node past where it was.
  return x.map((value, i) => clampBetween(value, present[i], aim[i]));
}

/** Repeats until nothing changes: at most once per node, since shortest paths have no more steps. */
function relax(x: readonly number[], bounds: readonly NeighbourBound[], apply: (bound: NeighbourBound) => void): void {
  for (let pass = 0; pass <= x.length; pass += 1) {
    const before = [...x];
    for (const bound of bounds) apply(bound);
    if (x.every((value, i) => value === before[i])) return;
  }
}

function clampBetween(value: number, a: number, b: number): number {
  return Math.min(Math.max(a, b), Math.max(Math.min(a, b), value));
}
