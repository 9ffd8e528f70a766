/** Events among trials at a place x, of one vehicle. */
export interface CountAt {
  readonly vehicle: number;
  readonly x: number;
  readonly events: number;
  readonly trials: number;
}

/** P(event) = 1/(1 + e^−(intercept + slope·x)), with the covariance of the two by vehicle cluster. */
export interface LogisticLine {
  readonly intercept: number;
  readonly slope: number;
  /** Of intercept; of both; of slope. */
  readonly covariance: readonly [number, number, number];
}

/** Standard deviations of the prior on intercept and slope: wide, but finite where no or every shift is an event. */
const PRIOR_SD = { intercept: 10, slope: 30 };
const MAX_STEPS = 100;

/**
 * Logistic regression on one variable by Newton's method with a weak normal prior, and the cluster-robust sandwich for its
 * covariance (Liang and Zeger 1986, Biometrika 73, 13–22). O(counts) per step.
 */
export function logisticLine(counts: readonly CountAt[]): LogisticLine {
  let [intercept, slope] = [startIntercept(counts), 0];
  for (let step = 0; step < MAX_STEPS; step += 1) {
    const { score, information } = slopesAt(counts, intercept, slope);
    const [da, db] = solve(information, score);
    // Half a logit at most: far steps of a flat likelihood would overshoot.
    const part = Math.min(1, 0.5 / Math.max(Math.abs(da), Math.abs(db) * 0.1));
    intercept += part * da;
    slope += part * db;
    if (Math.abs(da) + Math.abs(db) < 1e-9) break;
  }
  return { intercept, slope, covariance: sandwich(counts, intercept, slope) };
}

export function logistic(z: number): number {
  return 1 / (1 + Math.exp(-z));
}

function startIntercept(counts: readonly CountAt[]): number {
  const [events, trials] = counts.reduce(([e, n], own) => [e + own.events, n + own.trials], [0.5, 1]);
  return Math.log(events / (trials - events));
}

type Pair = readonly [number, number];
type Symmetric = readonly [number, number, number];

function slopesAt(
  counts: readonly CountAt[],
  intercept: number,
  slope: number,
): { score: Pair; information: Symmetric } {
  const [pa, pb] = [PRIOR_SD.intercept ** -2, PRIOR_SD.slope ** -2];
  let [sa, sb, iaa, iab, ibb] = [-pa * intercept, -pb * slope, pa, 0, pb];
  for (const { x, events, trials } of counts) {
    const p = logistic(intercept + slope * x);
    const residual = events - trials * p;
    const weight = trials * p * (1 - p);
    sa += residual;
    sb += residual * x;
    iaa += weight;
    iab += weight * x;
    ibb += weight * x * x;
  }
  return { score: [sa, sb], information: [iaa, iab, ibb] };
}

function solve([aa, ab, bb]: Symmetric, [a, b]: Pair): Pair {
  const determinant = aa * bb - ab * ab;
  return [(bb * a - ab * b) / determinant, (aa * b - ab * a) / determinant];
}

function sandwich(counts: readonly CountAt[], intercept: number, slope: number): Symmetric {
  const scores = new Map<number, [number, number]>();
  for (const { vehicle, x, events, trials } of counts) {
    const residual = events - trials * logistic(intercept + slope * x);
    const own = scores.get(vehicle) ?? [0, 0];
    scores.set(vehicle, [own[0] + residual, own[1] + residual * x]);
  }
  const { information } = slopesAt(counts, intercept, slope);
  let [aa, ab, bb] = [0, 0, 0];
  for (const score of scores.values()) {
    const [a, b] = solve(information, score);
    aa += a * a;
    ab += a * b;
    bb += b * b;
  }
  // Few clusters make the sandwich too small, so the plain inverse is added as what a single shift brings along.
  const determinant = information[0] * information[2] - information[1] ** 2;
  return [aa + information[2] / determinant, ab - information[1] / determinant, bb + information[0] / determinant];
}
