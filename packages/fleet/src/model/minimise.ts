import { backSolve, factoriseDense, forwardSolve } from './dense-cholesky.js';

export interface Minimum {
  readonly point: Float64Array;
  readonly value: number;
  readonly evaluations: number;
  /** False when it ran out of evaluations, or found no way down where there should be one. */
  readonly isConverged: boolean;
}

/** What a last step may still gain: part of the value, or of this where the value is small. */
const TOLERANCE = 1e-12;
const SMALL_VALUE = 100;
/** Edge of differences as a part of a coordinate, or of this where the coordinate is small. */
const EDGE = 1e-4;
const SMALL_COORDINATE = 0.1;
/** A step changes a coordinate by no more than its size, or by this. */
const LONGEST_STEP = 0.5;
const TINY = 1e-200;
const DAMPING = { least: 1e-3, most: 1e12, up: 4, down: 0.1 };

/**
 * Minimum of a smooth function of a few variables: Newton's method on central differences, damped after Levenberg and
 * Marquardt (Marquardt 1963, J. SIAM 11, 431–441) where the curvature is not positive or a step gains nothing. Half a
 * dozen steps of (n² + 3n)/2 evaluations.
 */
export function minimise(
  f: (point: Float64Array) => number,
  start: Float64Array,
  { maxEvaluations = 2000 }: { readonly maxEvaluations?: number } = {},
): Minimum {
  let evaluations = 0;
  const at = (point: Float64Array): number => {
    evaluations += 1;
    return f(point);
  };
  let best = { point: start, value: at(start) };
  let damping = 0;
  let local = expand(at, best);
  while (evaluations < maxEvaluations && damping <= DAMPING.most) {
    const step = dampedStep(local, best.point, damping);
    if (step !== null) {
      const point = best.point.map((x, i) => x + step.change[i]);
      const value = at(point);
      const isLast = step.gain <= TOLERANCE * Math.max(SMALL_VALUE, Math.abs(best.value));
      const isBetter = value < best.value;
      if (isBetter) best = { point, value };
      if (isLast) return { ...best, evaluations, isConverged: true };
      if (isBetter) {
        damping = damping * DAMPING.down < DAMPING.least ? 0 : damping * DAMPING.down;
        local = expand(at, best);
        continue;
      }
    }
    damping = Math.max(DAMPING.least, damping * DAMPING.up);
  }
  return { ...best, evaluations, isConverged: false };
}

interface Expansion {
  readonly gradient: Float64Array;
  /** Lower triangle of the second derivatives. */
  readonly curvature: readonly Float64Array[];
}

/** First and second derivatives by differences. */
function expand(
  f: (point: Float64Array) => number,
  { point, value }: { readonly point: Float64Array; readonly value: number },
): Expansion {
  const edges = point.map((x) => EDGE * Math.max(Math.abs(x), SMALL_COORDINATE));
  const moved = (i: number, by: number, from = point) => from.map((x, k) => (k === i ? x + by : x));
  const above = edges.map((edge, i) => f(moved(i, edge)));
  const below = edges.map((edge, i) => f(moved(i, -edge)));
  const curvature = Array.from(point, (_, i) => {
    const row = new Float64Array(point.length);
    row[i] = (above[i] - 2 * value + below[i]) / edges[i] ** 2;
    for (let k = 0; k < i; k += 1) {
      const both = f(moved(k, edges[k], moved(i, edges[i])));
      row[k] = (both - above[i] - above[k] + value) / (edges[i] * edges[k]);
    }
    return row;
  });
  return { gradient: edges.map((edge, i) => (above[i] - below[i]) / (2 * edge)), curvature };
}

/** The step and what the expansion promises of it; null where there is no minimum to step to, or too far away. */
function dampedStep({ gradient, curvature }: Expansion, point: Float64Array, damping: number) {
  const longest = point.map((x) => Math.max(Math.abs(x), LONGEST_STEP));
  // Where there is no curvature to measure by, as much as brings the slope to a halt within the longest step.
  const scaleOf = (i: number) => Math.max(Math.abs(curvature[i][i]), Math.abs(gradient[i]) / longest[i], TINY);
  const damped = curvature.map((row, i) => row.map((value, k) => (k === i ? value + damping * scaleOf(i) : value)));
  const factor = factoriseDense(damped);
  if (factor.kind === 'singular') return null;
  const half = forwardSolve(factor.lower, gradient);
  const change = backSolve(factor.lower, half).map((value) => -value);
  if (!change.every((by, i) => Math.abs(by) <= longest[i])) return null;
  return { change, gain: half.reduce((sum, value) => sum + value * value, 0) / 2 };
}
