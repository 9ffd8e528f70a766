export interface MinimiseOptions {
  /** Edge of the first simplex along each coordinate. Default 0.5. */
  readonly step?: number;
  /** Ends when the simplex is smaller than this in every coordinate … Default 1e-6. */
  readonly pointTolerance?: number;
  /** … and its values differ by less than this part of their size (or of 1). Default 1e-12. */
  readonly valueTolerance?: number;
  readonly maxEvaluations?: number;
}

export interface Minimum {
  readonly point: Float64Array;
  readonly value: number;
  readonly evaluations: number;
  readonly isConverged: boolean;
}

interface Vertex {
  readonly point: Float64Array;
  readonly value: number;
}

/**
 * Minimum of a function of a few variables without derivatives: the simplex method of Nelder and Mead 1965, Comput.
 * J. 7, 308–313, restarted around its own answer until that stands, which frees a collapsed simplex.
 */
export function minimise(
  f: (point: Float64Array) => number,
  start: Float64Array,
  { step = 0.5, pointTolerance = 1e-6, valueTolerance = 1e-12, maxEvaluations = 4000 }: MinimiseOptions = {},
): Minimum {
  let evaluations = 0;
  const evaluate = (point: Float64Array): Vertex => {
    evaluations += 1;
    return { point, value: f(point) };
  };
  const toleranceAt = (value: number) => valueTolerance * Math.max(1, Math.abs(value));
  const isSmall = (simplex: readonly Vertex[]) =>
    simplex[simplex.length - 1].value - simplex[0].value <= toleranceAt(simplex[0].value) &&
    simplex.every(({ point }) => point.every((x, i) => Math.abs(x - simplex[0].point[i]) <= pointTolerance));

  let best = evaluate(start);
  for (let edge = step; ; edge = step / 10) {
    let simplex = [best, ...Array.from(start, (_, i) => evaluate(shifted(best.point, i, edge)))].sort(byValue);
    while (!isSmall(simplex)) {
      if (evaluations >= maxEvaluations) return { ...simplex[0], evaluations, isConverged: false };
      simplex = improve(simplex, evaluate).sort(byValue);
    }
    const gain = best.value - simplex[0].value;
    best = simplex[0];
    if (edge !== step && gain <= 10 * toleranceAt(best.value)) return { ...best, evaluations, isConverged: true };
  }
}

function byValue(a: Vertex, b: Vertex): number {
  return a.value - b.value;
}

function shifted(point: Float64Array, index: number, by: number): Float64Array {
  const moved = point.slice();
  moved[index] += by;
  return moved;
}

/** One step on a sorted simplex: reflect, expand, contract, or shrink towards the best. */
function improve(simplex: Vertex[], evaluate: (point: Float64Array) => Vertex): Vertex[] {
  const keep = simplex.slice(0, -1);
  const best = simplex[0];
  const worst = simplex[simplex.length - 1];
  const centre = best.point.map((_, i) => keep.reduce((sum, { point }) => sum + point[i], 0) / keep.length);
  const along = (distance: number) => evaluate(centre.map((c, i) => c + distance * (c - worst.point[i])));

  const reflected = along(1);
  if (reflected.value < best.value) {
    const expanded = along(2);
    return [...keep, expanded.value < reflected.value ? expanded : reflected];
  }
  if (reflected.value < keep[keep.length - 1].value) return [...keep, reflected];
  const contracted = along(reflected.value < worst.value ? 0.5 : -0.5);
  if (contracted.value < Math.min(reflected.value, worst.value)) return [...keep, contracted];
  return [best, ...simplex.slice(1).map(({ point }) => evaluate(point.map((x, i) => (x + best.point[i]) / 2)))];
}
