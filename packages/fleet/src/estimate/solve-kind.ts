import type { BlockPrior } from './block-prior.js';
import { inverseOfFactor, mirrorLower, multiply, solveUpperRows } from './dense-blocks.js';
import type { EliminatedKind } from './eliminate-kind.js';
import type { KindMember } from './fleet-sums.js';

/** Posterior of a block's corrections. */
export interface BlockPosterior {
  readonly prior: BlockPrior;
  /** By place in the block. */
  readonly mean: Float64Array;
  /** n × n by rows. */
  readonly covariance: Float64Array;
}

/** A normal effect. */
export interface Effect {
  readonly mean: number;
  readonly variance: number;
}

/** Effect of one vehicle in one kind, b_jq, beside its general one. */
export interface KindEffect extends Effect {
  readonly vehicle: number;
  /** With the vehicle's general effect b_j. */
  readonly covariance: number;
}

/** Back-substitution for one kind: its own nodes with their covariance, and its vehicles' effects. */
export function solveKind(
  part: EliminatedKind,
  borderMean: Float64Array,
  inverse: Float64Array,
  width: number,
  rho: number,
  variance: number,
): { block: BlockPosterior; effects: KindEffect[] } {
  const { own, factor, coupling } = part;
  const mean = ownMeans(part, borderMean, width);
  const towardsBorder = coupling.slice();
  solveUpperRows(factor, own, towardsBorder, width);
  const crossed = multiply(towardsBorder, own, inverse, width);
  const covariance = inverseOfFactor(factor, own);
  for (let i = 0; i < own; i += 1) {
    for (let j = 0; j <= i; j += 1) {
      let sum = covariance[i * own + j];
      for (let k = 0; k < width; k += 1) sum += crossed[i * width + k] * towardsBorder[j * width + k];
      covariance[i * own + j] = sum;
    }
  }
  mirrorLower(covariance, own);
  const local = localCovariance(part, covariance, crossed, inverse, width);
  const localMean = localMeans(part, mean, borderMean);
  const effects = part.sums.members.map((member) => {
    const place = part.sharedCount + member.vehicle;
    const withVehicle = vehicleCovariance(part, crossed, inverse, width, place);
    return kindEffect(member, localMean, local, withVehicle, borderMean[place], rho, variance);
  });
  for (let i = 0; i < covariance.length; i += 1) covariance[i] *= variance;
  return { block: { prior: part.prior, mean, covariance }, effects };
}

/** The means of one kind without their covariances. */
export function kindMeans(
  part: EliminatedKind,
  borderMean: Float64Array,
  width: number,
  rho: number,
): { readonly mean: Float64Array; readonly effects: readonly { readonly vehicle: number; readonly mean: number }[] } {
  const mean = ownMeans(part, borderMean, width);
  const localMean = localMeans(part, mean, borderMean);
  const effects = part.sums.members.map((member) => {
    const vehicleMean = borderMean[part.sharedCount + member.vehicle];
    return { vehicle: member.vehicle, mean: effectMean(member, localMean, vehicleMean, rho) };
  });
  return { mean, effects };
}

/** Of the kind's own nodes. */
function ownMeans({ own, factor, coupling, right }: EliminatedKind, borderMean: Float64Array, width: number) {
  const mean = right.slice();
  for (let i = 0; i < own; i += 1) {
    for (let j = 0; j < width; j += 1) mean[i] -= coupling[i * width + j] * borderMean[j];
  }
  solveUpperRows(factor, own, mean, 1);
  return mean;
}

/** Of the kind's own nodes and the shared ones together. */
function localMeans({ sharedCount }: EliminatedKind, own: Float64Array, borderMean: Float64Array): Float64Array {
  return Float64Array.from([...own, ...borderMean.subarray(0, sharedCount)]);
}

/** b_jq = (Σwy − gᵀθ − w·b_j)/(w + ρ). */
function effectMean(
  { weight, response, design }: KindMember,
  mean: Float64Array,
  vehicleMean: number,
  rho: number,
): number {
  let explained = weight * vehicleMean;
  for (let i = 0; i < design.length; i += 1) if (design[i] !== 0) explained += design[i] * mean[i];
  return (response - explained) / (weight + rho);
}

/** Covariance of the kind's own nodes and the shared ones together, over σ². */
function localCovariance(
  { own, sharedCount }: EliminatedKind,
  covariance: Float64Array,
  crossed: Float64Array,
  inverse: Float64Array,
  width: number,
): Float64Array {
  const size = own + sharedCount;
  const local = new Float64Array(size * size);
  for (let i = 0; i < size; i += 1) {
    for (let j = 0; j <= i; j += 1) {
      if (i < own) local[i * size + j] = covariance[i * own + j];
      else if (j < own) local[i * size + j] = -crossed[j * width + i - own];
      else local[i * size + j] = inverse[(i - own) * width + j - own];
    }
  }
  mirrorLower(local, size);
  return local;
}

/** Covariance of a vehicle's b_j with the local nodes, and its variance last, over σ². */
function vehicleCovariance(
  { own, sharedCount }: EliminatedKind,
  crossed: Float64Array,
  inverse: Float64Array,
  width: number,
  place: number,
): Float64Array {
  const result = new Float64Array(own + sharedCount + 1);
  for (let i = 0; i < own; i += 1) result[i] = -crossed[i * width + place];
  for (let s = 0; s < sharedCount; s += 1) result[own + s] = inverse[place * width + s];
  result[own + sharedCount] = inverse[place * width + place];
  return result;
}

/** b_jq with the variance that its terms bring along. */
function kindEffect(
  member: KindMember,
  mean: Float64Array,
  local: Float64Array,
  withVehicle: Float64Array,
  vehicleMean: number,
  rho: number,
  variance: number,
): KindEffect {
  const { vehicle, weight, design } = member;
  const size = design.length;
  let [square, cross] = [weight * weight * withVehicle[size], weight * withVehicle[size]];
  for (let i = 0; i < size; i += 1) {
    if (design[i] === 0) continue;
    cross += design[i] * withVehicle[i];
    let row = 2 * weight * withVehicle[i];
    for (let j = 0; j < size; j += 1) row += local[i * size + j] * design[j];
    square += design[i] * row;
  }
  const total = weight + rho;
  return {
    vehicle,
    mean: effectMean(member, mean, vehicleMean, rho),
    variance: variance * (1 / total + square / total ** 2),
    covariance: (-variance * cross) / total,
  };
}
