import type { CorrectionEstimate } from './estimate-corrections.js';
import { type KindMoments, type ShiftMoments, triangle } from './shift-moments.js';

/** How far responses follow a change of the map: 1 where torque and inertia of the profiles are the whole truth. */
export interface FleetResponse {
  readonly slope: number;
  readonly standardError: number;
}

/** Before any revision was followed by another: the profiles at face value. */
export const USUAL_RESPONSE: FleetResponse = { slope: 1, standardError: 0.3 };
/**
 * What a driveline can do to it: an engine as heavy as the input that follows in full halves it, and clipped responses far
 * from right tell less still. Corrections are made larger by it at most so far.
 */
const LEAST_SLOPE = 0.35;
const HIGHEST_SLOPE = 1.2;

/**
 * Slope of the responses on a change of the map that was really made. An inertia that a profile has not (an engine behind
 * a closed lock-up clutch, a converter that holds against) scales y without moving its zero (methods.md 5), so corrections
 * come out too small or too large by the same factor. Driving before and after a revision tells it: with Δ = ln(newer/older)
 * the older responses are y = Xφ + b_j + b_jq + ρ·XΔ + e, where φ and b are what the newer ones say; ρ by least squares with
 * the prior N(1, 0.3²), its error from the spread between vehicles (each is one cluster).
 * @param newer estimate from shifts under the newer revision alone
 * @param older moments by vehicle under the older one, as they were driven
 * @param changeLn Δ by node
 * @param before what was known of it
 */
export function fleetResponse(
  newer: CorrectionEstimate,
  older: ReadonlyMap<string, ShiftMoments>,
  changeLn: ArrayLike<number>,
  before: FleetResponse = USUAL_RESPONSE,
): FleetResponse {
  const clusters = newer.trims.flatMap(({ vehicleId, byKind }) => {
    const moments = older.get(vehicleId);
    return moments === undefined
      ? []
      : [clusterOf(moments, new Map(byKind.map((one) => [one.shiftKind, one.trimLn])), newer, changeLn)];
  });
  const square = sum(clusters.map((cluster) => cluster.square));
  if (!(square > 0)) return before;
  const product = sum(clusters.map((cluster) => cluster.product));
  const found = product / square;
  const spread = sum(clusters.map((cluster) => (cluster.product - found * cluster.square) ** 2));
  const precision = square ** 2 / Math.max(spread, newer.components.residualSd ** 2 * square);
  const prior = 1 / before.standardError ** 2;
  const slope = (found * precision + before.slope * prior) / (precision + prior);
  return {
    slope: Math.min(HIGHEST_SLOPE, Math.max(LEAST_SLOPE, slope)),
    standardError: 1 / Math.sqrt(precision + prior),
  };
}

function clusterOf(
  moments: ShiftMoments,
  trimOf: ReadonlyMap<string, number>,
  { correctionLn }: CorrectionEstimate,
  changeLn: ArrayLike<number>,
): { square: number; product: number } {
  let [square, product] = [0, 0];
  for (const [kind, own] of moments) {
    const trim = trimOf.get(kind);
    if (trim === undefined) continue;
    const along = againstChange(own, correctionLn, changeLn);
    square += along.square;
    product += along.response - along.explained - trim * along.level;
  }
  return { square, product };
}

/** Σwf, Σwfy, Σwf·xᵀφ and Σwf² of f = xᵀΔ. */
function againstChange(
  { nodes, design, designResponse, designSquare }: KindMoments,
  correctionLn: Float64Array,
  changeLn: ArrayLike<number>,
) {
  let [level, response, explained, square] = [0, 0, 0, 0];
  for (let i = 0; i < nodes.length; i += 1) {
    const change = changeLn[nodes[i]];
    level += design[i] * change;
    response += designResponse[i] * change;
    for (let j = 0; j <= i; j += 1) {
      const entry = designSquare[triangle(i) + j];
      const other = changeLn[nodes[j]];
      square += (i === j ? 1 : 2) * entry * change * other;
      explained += entry * change * correctionLn[nodes[j]];
      if (i !== j) explained += entry * other * correctionLn[nodes[i]];
    }
  }
  return { level, response, explained, square };
}

function sum(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0);
}

/** Corrections and trims as they are to be made when responses follow only by `slope`. */
export function scaledByResponse(estimate: CorrectionEstimate, { slope }: FleetResponse): CorrectionEstimate {
  const scale = <T extends { readonly trimLn: number; readonly sdLn: number }>(trim: T): T => ({
    ...trim,
    trimLn: trim.trimLn / slope,
    sdLn: trim.sdLn / slope,
  });
  return {
    ...estimate,
    correctionLn: estimate.correctionLn.map((value) => value / slope),
    sdLn: estimate.sdLn.map((value) => value / slope),
    commonTrimLn: estimate.commonTrimLn / slope,
    trims: estimate.trims.map((trim) => ({ ...scale(trim), byKind: trim.byKind.map(scale) })),
  };
}
