import { arrowMeans, arrowPosterior } from './arrow-posterior.js';
import type { VarianceComponents } from './block-prior.js';
import { commonTrims, NOTHING_COMMON, withCommonTrims, withoutCommonTrims } from './common-trims.js';
import { type EstimateOptions, type FittedFleet, fitFleet, type NodeEvidence } from './fitted-fleet.js';
import type { NodeBlocks } from './node-blocks.js';
import type { NodeDesign } from './node-design.js';
import type { ShiftMoments } from './shift-moments.js';
import { describeTrims, type TrimMeans, trimMeans, type VehicleTrim } from './vehicle-trims.js';

/** Log corrections of a rule's tables, and what belongs to single cars. Arrays run over the design's nodes. */
export interface CorrectionEstimate {
  readonly kind: 'estimate';
  /** θ: ln of wanted over present value; 0 where nobody drove. */
  readonly correctionLn: Float64Array;
  /** Posterior standard deviation; ∞ where nobody drove the table variant. */
  readonly sdLn: Float64Array;
  readonly evidence: NodeEvidence;
  readonly components: VarianceComponents;
  /** False when the components still moved at the last iteration, or were not asked to be fitted. */
  readonly isConverged: boolean;
  readonly iterations: number;
  /** In order of vehicle id. */
  readonly trims: readonly VehicleTrim[];
  /** What the solve gave to the trims of all vehicles alike; it is in the corrections and no longer in the trims. */
  readonly commonTrimLn: number;
  /** Shifts with weight. */
  readonly shifts: number;
}

export interface NoCorrections {
  readonly kind: 'insufficient';
  readonly reason: 'noShifts';
}

/**
 * Estimates corrections and trims from running moments (methods.md 6): y = Xθ + b_j + b_jq + e with a penalty on
 * roughness and size of θ, components by restricted likelihood, all effects by their posterior mean. The same moments
 * give the same result to the bit, whatever order the vehicles come in.
 * @param vehicles by vehicle id; all driven under the design's revision or rebased to it
 */
export function estimateCorrections(
  design: NodeDesign,
  vehicles: ReadonlyMap<string, ShiftMoments>,
  options: EstimateOptions = {},
): CorrectionEstimate | NoCorrections {
  const fitted = fitFleet(design, vehicles, options);
  return fitted === null ? { kind: 'insufficient', reason: 'noShifts' } : estimateOf(design, fitted);
}

export function estimateOf(design: NodeDesign, fitted: FittedFleet): CorrectionEstimate {
  const { ids, blocks, sums, behind, priors, fit, evidence, options } = fitted;
  const posterior = arrowPosterior(sums, priors, fit.components);
  const common = options.centresTrims ? commonTrims(sums, posterior) : NOTHING_COMMON;
  const correctionLn = spreadMeans(design, blocks, posterior.blocks);
  return {
    kind: 'estimate',
    ...withCommonTrims({ correctionLn }, sums, common, behind),
    sdLn: spreadDeviations(design, blocks, posterior.blocks),
    evidence,
    ...fit,
    trims: withoutCommonTrims(describeTrims(ids, sums, posterior, fit.components), common),
    commonTrimLn: common.general,
    shifts: sums.shifts,
  };
}

/** What shifts are held against: corrections and trims of an estimate, without their uncertainty. */
export interface Expectation {
  readonly correctionLn: Float64Array;
  readonly trims: readonly TrimMeans[];
}

/** Those of `estimateOf`, in a third of its time. */
export function expectationOf(design: NodeDesign, fitted: FittedFleet): Expectation {
  const { ids, blocks, sums, behind, priors, fit, options } = fitted;
  const means = arrowMeans(sums, priors, fit.components);
  const common = options.centresTrims ? commonTrims(sums, means) : NOTHING_COMMON;
  const correctionLn = spreadMeans(design, blocks, means.blocks);
  return {
    ...withCommonTrims({ correctionLn }, sums, common, behind),
    trims: withoutCommonTrims(trimMeans(ids, sums, means), common),
  };
}

function spreadMeans(
  { nodeCount }: NodeDesign,
  blocks: NodeBlocks,
  found: readonly { readonly mean: Float64Array }[],
): Float64Array {
  return spread(blocks, new Float64Array(nodeCount), (b, place) => found[b].mean[place]);
}

function spreadDeviations(
  { nodeCount }: NodeDesign,
  blocks: NodeBlocks,
  found: readonly { readonly covariance: Float64Array }[],
): Float64Array {
  const nowhere = new Float64Array(nodeCount).fill(Number.POSITIVE_INFINITY);
  return spread(blocks, nowhere, (b, place, size) => Math.sqrt(found[b].covariance[place * size + place]));
}

/** Puts what each block has in each place where its node stands. */
function spread(
  { byKind, shared }: NodeBlocks,
  values: Float64Array,
  valueOf: (block: number, place: number, size: number) => number,
): Float64Array {
  for (const [b, { nodes }] of [...byKind.values(), shared].entries()) {
    for (const [place, node] of nodes.entries()) values[node] = valueOf(b, place, nodes.length);
  }
  return values;
}
