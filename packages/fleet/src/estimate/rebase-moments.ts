import { NO_SHIFTS } from '../summaries/grade-counts.js';
import type { NodeDesign } from './node-design.js';
import { type KindMoments, mergeShiftMoments, NO_SHIFT_MOMENTS, type ShiftMoments, triangle } from './shift-moments.js';

/** Moments by vehicle as they were driven under an earlier revision. */
export interface EarlierMoments {
  readonly byVehicle: ReadonlyMap<string, ShiftMoments>;
  /** See `changeLn`; towards the newest revision. */
  readonly changeLn: Float64Array;
}

/** ln of newer over older value by node, of designs with the same nodes; 0 where a logarithm means nothing. */
export function changeLn(older: NodeDesign, newer: NodeDesign): Float64Array {
  const before = older.spans.flatMap(({ values }) => values);
  const after = newer.spans.flatMap(({ values }) => values);
  return Float64Array.from(before, (value, i) => (value > 0 && after[i] > 0 ? Math.log(after[i] / value) : 0));
}

/**
 * All moments together by vehicle, the earlier ones as if driven under the newest revision, to whose changes responses
 * follow by `slope` (`fleetResponse`).
 */
export function carryMoments(
  newest: ReadonlyMap<string, ShiftMoments>,
  earlier: readonly EarlierMoments[],
  slope: number,
): Map<string, ShiftMoments> {
  const merged = new Map(newest);
  for (const { byVehicle, changeLn: whole } of earlier) {
    const change = whole.map((ln) => slope * ln);
    for (const [id, own] of byVehicle) {
      merged.set(id, mergeShiftMoments(merged.get(id) ?? NO_SHIFT_MOMENTS, rebaseShiftMoments(own, change)));
    }
  }
  return merged;
}

/**
 * Moments of shifts driven under an older revision as if against a newer one: with Δ = ln(newer/older) of each node the
 * responses become y − xᵀΔ, so Σwxy loses Σwxxᵀ·Δ and Σwy² changes by the quadratic form. Rows are kept, which is right to
 * first order in Δ. Grades belong to the revision that they were driven under and are left out, so that a node is not
 * held for flares of old. For solving only: the result is no longer exact to the bit, so logs are added to and taken
 * from the moments of their own revision.
 * @param changeLn Δ by node
 */
export function rebaseShiftMoments(moments: ShiftMoments, changeLn: ArrayLike<number>): ShiftMoments {
  return new Map([...moments].map(([kind, own]) => [kind, rebaseKind(own, changeLn)]));
}

function rebaseKind(own: KindMoments, changeLn: ArrayLike<number>): KindMoments {
  const change = Float64Array.from(own.nodes, (node) => changeLn[node]);
  const moved = new Float64Array(change.length);
  for (let i = 0; i < change.length; i += 1) {
    for (let j = 0; j <= i; j += 1) {
      const entry = own.designSquare[triangle(i) + j];
      moved[i] += entry * change[j];
      if (j < i) moved[j] += entry * change[i];
    }
  }
  const none = new Float64Array(change.length);
  return {
    ...own,
    counts: NO_SHIFTS,
    passes: none,
    flares: none,
    tieUps: none,
    harsh: none,
    response: own.response - dot(own.design, change),
    square: own.square - 2 * dot(own.designResponse, change) + dot(moved, change),
    designResponse: own.designResponse.map((value, i) => value - moved[i]),
  };
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i += 1) sum += a[i] * b[i];
  return sum;
}
