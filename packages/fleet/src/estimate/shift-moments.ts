import { type GradeCounts, mergeGradeCounts, NO_SHIFTS, subtractGradeCounts } from '../summaries/grade-counts.js';
import type { DesignRow } from './design-row.js';

/** What the estimator needs of one shift. */
export interface ShiftObservation {
  /** Shift kind such as `3-4`; each vehicle has an effect of its own per kind. */
  readonly shiftKind: string;
  readonly row: DesignRow;
  /**
   * ln of torque needed over torque got (methods.md 5) on the scale of `pressureResponse`, against the revision's tables
   * without any trim.
   */
  readonly y: number;
  /** Precision relative to an undisturbed shift, 0 upwards. 0 counts the shift's grades and nothing else. */
  readonly weight: number;
  readonly counts: GradeCounts;
}

/** Sums over the shifts of one vehicle and kind; x is the row times its gain, `nodes` those with any share. */
export interface KindMoments {
  /** Shifts with weight. */
  readonly shifts: number;
  /** Σw, Σwy, Σwy². */
  readonly weight: number;
  readonly response: number;
  readonly square: number;
  /** Grades of every shift, weighted or not. */
  readonly counts: GradeCounts;
  /** Rising. The arrays below run along it. */
  readonly nodes: Int32Array;
  /** Σwx. */
  readonly design: Float64Array;
  /** Σwxy. */
  readonly designResponse: Float64Array;
  /** Σwxxᵀ, lower triangle by rows. */
  readonly designSquare: Float64Array;
  /** Σ w·share: shifts behind a node. */
  readonly evidence: Float64Array;
  /** Σ share over all shifts, weighted or not, and over those with a grade. */
  readonly passes: Float64Array;
  readonly flares: Float64Array;
  readonly tieUps: Float64Array;
  readonly harsh: Float64Array;
}

/** Running moments of one vehicle under one revision, by shift kind. */
export type ShiftMoments = ReadonlyMap<string, KindMoments>;

export const NO_SHIFT_MOMENTS: ShiftMoments = new Map();

/**
 * Steps that rows and responses, and weights, are rounded to. Every sum is then a whole multiple of 2⁻³⁰ and exact
 * below 2²³ (84,000 shifts of one kind at the highest gain, millions at the usual), so that a log taken back leaves
 * no trace and the order of logs has no influence. 1/4096 is far below the noise of any shift.
 */
export const ROW_STEP = 2 ** -12;
export const WEIGHT_STEP = 2 ** -6;

/** An observation with x, its row times the gain. */
export type CountedObservation = ShiftObservation & { readonly x: readonly number[] };

/** What an observation counts as: row and response to 1/4096, weight to 1/64. Rounding again changes nothing. */
export function roundObservation(observation: ShiftObservation): CountedObservation {
  const { row, y, weight } = observation;
  const shares = row.shares.map((share) => roundTo(share, ROW_STEP));
  return {
    ...observation,
    row: { ...row, shares },
    x: shares.map((share) => roundTo(row.gain * share, ROW_STEP)),
    y: roundTo(y, ROW_STEP),
    weight: roundTo(weight, WEIGHT_STEP),
  };
}

function roundTo(value: number, step: number): number {
  return Math.round(value / step) * step;
}

/** Moments of some shifts of one vehicle, for instance of one log. O(shifts · nodes per row²). */
export function shiftMomentsOf(observations: Iterable<ShiftObservation>): ShiftMoments {
  return momentsOfRounded(Array.from(observations, roundObservation));
}

/** The same of observations that are rounded; one of negative weight takes that much off the moments it is merged into. */
export function momentsOfRounded(observations: Iterable<CountedObservation>): ShiftMoments {
  return new Map([...byShiftKind(observations)].map(([kind, rows]) => [kind, kindMomentsOf(rows)]));
}

function byShiftKind(observations: Iterable<CountedObservation>): ReadonlyMap<string, CountedObservation[]> {
  const byKind = new Map<string, CountedObservation[]>();
  for (const observation of observations) {
    const same = byKind.get(observation.shiftKind);
    if (same) same.push(observation);
    else byKind.set(observation.shiftKind, [observation]);
  }
  return byKind;
}

/**
 * Moments in which some of their shifts count with another weight. Each change is the shift with what its weight changes
 * by, and no grades; a shift that is not among them, or that loses its whole weight, is an error of the caller's.
 */
export function reweighted(moments: ShiftMoments, changes: readonly CountedObservation[]): ShiftMoments {
  const result = new Map(moments);
  for (const [kind, rows] of byShiftKind(changes)) {
    const own = moments.get(kind);
    if (own) result.set(kind, reweightedKind(own, rows));
  }
  return result;
}

function reweightedKind(own: KindMoments, rows: readonly CountedObservation[]): KindMoments {
  const sums = {
    ...own,
    design: own.design.slice(),
    designResponse: own.designResponse.slice(),
    designSquare: own.designSquare.slice(),
    evidence: own.evidence.slice(),
  };
  const placeOf = new Map(Array.from(own.nodes, (node, place) => [node, place]));
  let { weight, response, square } = own;
  for (const row of rows) {
    weight += row.weight;
    response += row.weight * row.y;
    square += row.weight * row.y * row.y;
    addWeighted(sums, placeOf, row);
  }
  return { ...sums, weight, response, square };
}

/** Sums the rows of one kind up as they are, unrounded when they are. */
export function kindMomentsOf(rows: readonly CountedObservation[]): KindMoments {
  const driven = new Set<number>();
  for (const { row, x } of rows) for (let i = 0; i < x.length; i += 1) if (x[i] !== 0) driven.add(row.nodes[i]);
  const nodes = Int32Array.from(driven).sort();
  const placeOf = new Map(Array.from(nodes, (node, place) => [node, place]));
  const sums = emptySums(nodes);
  let [shifts, weight, response, square, counts] = [0, 0, 0, 0, NO_SHIFTS];
  for (const observation of rows) {
    const { weight: w, y } = observation;
    if (w > 0) shifts += 1;
    weight += w;
    response += w * y;
    square += w * y * y;
    counts = mergeGradeCounts(counts, observation.counts);
    addRow(sums, placeOf, observation);
  }
  return { shifts, weight, response, square, counts, ...sums };
}

/** The arrays with one number per node. */
export const NODE_ARRAYS = ['design', 'designResponse', 'evidence', 'passes', 'flares', 'tieUps', 'harsh'] as const;

type NodeSums = Pick<KindMoments, 'nodes' | 'designSquare' | (typeof NODE_ARRAYS)[number]>;

function emptySums(nodes: Int32Array): NodeSums {
  const { length } = nodes;
  return {
    nodes,
    design: new Float64Array(length),
    designResponse: new Float64Array(length),
    designSquare: new Float64Array((length * (length + 1)) / 2),
    evidence: new Float64Array(length),
    passes: new Float64Array(length),
    flares: new Float64Array(length),
    tieUps: new Float64Array(length),
    harsh: new Float64Array(length),
  };
}

function addRow(sums: NodeSums, placeOf: ReadonlyMap<number, number>, observation: CountedObservation): void {
  const { row, x, counts } = observation;
  for (let a = 0; a < x.length; a += 1) {
    const place = placeOf.get(row.nodes[a]) ?? -1;
    if (place < 0) continue;
    sums.passes[place] += counts.shifts * row.shares[a];
    sums.flares[place] += counts.flare * row.shares[a];
    sums.tieUps[place] += counts.tieUp * row.shares[a];
    sums.harsh[place] += counts.harsh * row.shares[a];
  }
  addWeighted(sums, placeOf, observation);
}

function addWeighted(
  sums: Pick<NodeSums, 'design' | 'designResponse' | 'designSquare' | 'evidence'>,
  placeOf: ReadonlyMap<number, number>,
  { row, x, y, weight }: CountedObservation,
): void {
  const places = row.nodes.map((node) => placeOf.get(node) ?? -1);
  for (let a = 0; a < x.length; a += 1) {
    const place = places[a];
    if (place < 0) continue;
    const wx = weight * x[a];
    sums.design[place] += wx;
    sums.designResponse[place] += wx * y;
    sums.evidence[place] += weight * row.shares[a];
    for (let b = 0; b < x.length; b += 1) {
      const other = places[b];
      if (other >= 0 && other <= place) sums.designSquare[triangle(place) + other] += wx * x[b];
    }
  }
}

/** Where row i of a packed lower triangle starts. */
export function triangle(row: number): number {
  return (row * (row + 1)) / 2;
}

/** Moments of both sets of shifts. Exact, so in any order. */
export function mergeShiftMoments(a: ShiftMoments, b: ShiftMoments): ShiftMoments {
  return combine(a, b, 1);
}

/** Takes `part` back out of `whole`, as when a log is removed or analysed anew. Exact: nothing of it is left. */
export function subtractShiftMoments(whole: ShiftMoments, part: ShiftMoments): ShiftMoments {
  return combine(whole, part, -1);
}

function combine(a: ShiftMoments, b: ShiftMoments, sign: 1 | -1): ShiftMoments {
  const result = new Map(a);
  for (const [kind, part] of b) {
    const combined = combineKind(result.get(kind) ?? kindMomentsOf([]), part, sign);
    if (combined.counts.shifts === 0 && combined.shifts === 0) result.delete(kind);
    else result.set(kind, combined);
  }
  return result;
}

function combineKind(a: KindMoments, b: KindMoments, sign: 1 | -1): KindMoments {
  const passes = new Map<number, number>();
  for (const [i, node] of a.nodes.entries()) passes.set(node, a.passes[i] + a.evidence[i]);
  for (const [i, node] of b.nodes.entries()) {
    passes.set(node, (passes.get(node) ?? 0) + sign * (b.passes[i] + b.evidence[i]));
  }
  const nodes = Int32Array.from([...passes].filter(([, left]) => left !== 0).map(([node]) => node)).sort();
  const sums = emptySums(nodes);
  addSums(sums, a, 1);
  addSums(sums, b, sign);
  return {
    shifts: a.shifts + sign * b.shifts,
    weight: a.weight + sign * b.weight,
    response: a.response + sign * b.response,
    square: a.square + sign * b.square,
    counts: sign === 1 ? mergeGradeCounts(a.counts, b.counts) : subtractGradeCounts(a.counts, b.counts),
    ...sums,
  };
}

function addSums(sums: NodeSums, part: KindMoments, sign: 1 | -1): void {
  const places = placesIn(sums.nodes, part.nodes);
  for (let i = 0; i < places.length; i += 1) {
    const place = places[i];
    if (place < 0) continue;
    for (const key of NODE_ARRAYS) sums[key][place] += sign * part[key][i];
    for (let j = 0; j <= i; j += 1) {
      if (places[j] >= 0) sums.designSquare[triangle(place) + places[j]] += sign * part.designSquare[triangle(i) + j];
    }
  }
}

/** Where each of `nodes` stands in `within`, −1 where absent. Both rising. */
function placesIn(within: Int32Array, nodes: Int32Array): Int32Array {
  let place = 0;
  return nodes.map((node) => {
    while (place < within.length && within[place] < node) place += 1;
    return place < within.length && within[place] === node ? place : -1;
  });
}
