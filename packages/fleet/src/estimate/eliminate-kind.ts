import { type BlockPrior, priorPrecision, type VarianceComponents } from './block-prior.js';
import { choleskyInPlace, leadingBlock, solveLowerRows, subtractSquare } from './dense-blocks.js';
import type { FleetSums, KindSums } from './fleet-sums.js';

/** Shared nodes first, then vehicles: matrix (lower triangle) and right-hand side. */
export interface Border {
  readonly size: number;
  readonly sharedCount: number;
  readonly matrix: Float64Array;
  readonly right: Float64Array;
}

/** The border before any kind is eliminated: priors only. */
export function startBorder(
  sums: FleetSums,
  shared: BlockPrior,
  components: VarianceComponents,
  rhoVehicle: number,
): Border {
  const sharedCount = sums.shared.nodes.length;
  const size = sharedCount + sums.vehicleCount;
  const matrix = new Float64Array(size * size);
  const precision = priorPrecision(shared, components.roughnessSd);
  for (let i = 0; i < sharedCount; i += 1) {
    for (let j = 0; j <= i; j += 1) matrix[i * size + j] = components.residualSd ** 2 * precision[i * sharedCount + j];
  }
  for (let j = sharedCount; j < size; j += 1) matrix[j * size + j] = rhoVehicle;
  return { size, sharedCount, matrix, right: new Float64Array(size) };
}

/** A kind's own nodes after elimination. */
export interface EliminatedKind {
  readonly sums: KindSums;
  readonly prior: BlockPrior;
  readonly own: number;
  readonly sharedCount: number;
  /** L of the own nodes. */
  readonly factor: Float64Array;
  /** L⁻¹ times the coupling to the border, and times the right-hand side. */
  readonly coupling: Float64Array;
  readonly right: Float64Array;
}

/** Eliminates b_jq and then the kind's own nodes, leaving their Schur complement in the border. */
export function eliminateKind(
  sums: KindSums,
  prior: BlockPrior,
  components: VarianceComponents,
  rhoKind: number,
  border: Border,
): EliminatedKind {
  const own = sums.block.nodes.length;
  const { square, response } = withoutKindEffects(sums, rhoKind);
  const factor = leadingBlock(square, sums.size, own, 1);
  const precision = priorPrecision(prior, components.roughnessSd);
  for (let i = 0; i < factor.length; i += 1) factor[i] += components.residualSd ** 2 * precision[i];
  const coupling = couplingOf(sums, square, own, rhoKind, border);
  addOwnBorder(sums, square, response, own, rhoKind, border);
  choleskyInPlace(factor, own);
  solveLowerRows(factor, own, coupling, border.size);
  const right = response.slice(0, own);
  solveLowerRows(factor, own, right, 1);
  subtractSquare(border.matrix, border.size, coupling, own);
  for (let i = 0; i < own; i += 1) {
    for (let j = 0; j < border.size; j += 1) border.right[j] -= coupling[i * border.size + j] * right[i];
  }
  return { sums, prior, own, sharedCount: border.sharedCount, factor, coupling, right };
}

/** Σ over vehicles of Σwxxᵀ − gᵀg/(w + ρ), and the same for the response: b_jq taken out. */
function withoutKindEffects({ size, designSquare, designResponse, members }: KindSums, rho: number) {
  const square = designSquare.slice();
  const response = designResponse.slice();
  const scaled = new Float64Array(members.length * size);
  for (const [m, { weight, response: own, design }] of members.entries()) {
    const factor = 1 / Math.sqrt(weight + rho);
    for (let i = 0; i < size; i += 1) {
      scaled[m * size + i] = design[i] * factor;
      response[i] -= (design[i] * own) / (weight + rho);
    }
  }
  subtractSquare(square, size, scaled, members.length);
  return { square, response };
}

/** Rows: the kind's own nodes; columns: the border. */
function couplingOf({ size, members }: KindSums, square: Float64Array, own: number, rho: number, border: Border) {
  const coupling = new Float64Array(own * border.size);
  for (let i = 0; i < own; i += 1) {
    for (let s = own; s < size; s += 1) coupling[i * border.size + s - own] = square[s * size + i];
  }
  for (const { vehicle, weight, design } of members) {
    const left = rho / (weight + rho);
    for (let i = 0; i < own; i += 1) coupling[i * border.size + border.sharedCount + vehicle] = left * design[i];
  }
  return coupling;
}

/** Adds what the kind says of the border directly. */
function addOwnBorder(
  { size, members }: KindSums,
  square: Float64Array,
  response: Float64Array,
  own: number,
  rho: number,
  { size: width, sharedCount, matrix, right }: Border,
): void {
  for (let s = 0; s < sharedCount; s += 1) {
    right[s] += response[own + s];
    for (let t = 0; t <= s; t += 1) matrix[s * width + t] += square[(own + s) * size + own + t];
  }
  for (const { vehicle, weight, response: sum, design } of members) {
    const left = rho / (weight + rho);
    const row = sharedCount + vehicle;
    right[row] += left * sum;
    matrix[row * width + row] += left * weight;
    for (let s = 0; s < sharedCount; s += 1) matrix[row * width + s] += left * design[own + s];
  }
}
