import type { CorrectionEstimate } from './estimate-corrections.js';
import { type KindMoments, type ShiftMoments, triangle } from './shift-moments.js';

/** How strongly one car's responses follow the fleet's corrections; 1 for a true profile. */
export interface ResponseScale {
  readonly vehicleId: string;
  readonly scale: number;
  readonly standardError: number;
}

/** Above this a scale says nothing. */
const HIGHEST_ERROR = 0.2;

/**
 * Slope of each car's responses on what the corrections predict, within its shift kinds so that trims have no part.
 * A wrong torque or inertia in a profile scales y (methods.md 5). Only cars where the map is wrong enough to tell it: once
 * the map is right no scale can be told, and none matters.
 */
export function responseScales(
  { correctionLn, components }: CorrectionEstimate,
  vehicles: ReadonlyMap<string, ShiftMoments>,
): ResponseScale[] {
  return [...vehicles]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([vehicleId, moments]) => {
      let [square, product] = [0, 0];
      for (const own of moments.values()) {
        if (own.weight === 0) continue;
        const { predicted, predictedSquare, predictedResponse } = againstPrediction(own, correctionLn);
        square += predictedSquare - (predicted * predicted) / own.weight;
        product += predictedResponse - (predicted * own.response) / own.weight;
      }
      return { vehicleId, scale: product / square, standardError: components.residualSd / Math.sqrt(square) };
    })
    .filter(({ standardError }) => standardError < HIGHEST_ERROR);
}

/** Σwf, Σwf² and Σwfy of the predictions f = xᵀθ. */
function againstPrediction({ nodes, design, designResponse, designSquare }: KindMoments, correctionLn: Float64Array) {
  let [predicted, predictedSquare, predictedResponse] = [0, 0, 0];
  for (let i = 0; i < nodes.length; i += 1) {
    const correction = correctionLn[nodes[i]];
    predicted += design[i] * correction;
    predictedResponse += designResponse[i] * correction;
    for (let j = 0; j <= i; j += 1) {
      const entry = designSquare[triangle(i) + j] * correction * correctionLn[nodes[j]];
      predictedSquare += i === j ? entry : 2 * entry;
    }
  }
  return { predicted, predictedSquare, predictedResponse };
}
