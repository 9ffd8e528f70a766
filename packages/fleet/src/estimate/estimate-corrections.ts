import { arrowMeans, arrowPosterior } from './arrow-posterior.js';
import { type CorrectionPrior, DEFAULT_PRIOR, type VarianceComponents } from './block-prior.js';
import { commonTrims, NOTHING_COMMON, withCommonTrims, withoutCommonTrims } from './common-trims.js';
import { type FleetSums, fleetSums } from './fleet-sums.js';
import { type NodeBlocks, nodeBlocks } from './node-blocks.js';
import type { NodeDesign } from './node-design.js';
import type { ShiftMoments } from './shift-moments.js';
import { blockPriors, type ComponentOptions, fitComponents } from './variance-components.js';
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

/** What stands behind each node. */
export interface NodeEvidence {
  /** Effective number of shifts: Σ weight · share. */
  readonly shifts: Float64Array;
  /** Effective number of vehicles: (Σ n_j)²/Σ n_j² (Kish 1965). */
  readonly vehicles: Float64Array;
  /** Share of flares in the shifts that passed over the node; NaN where none did. */
  readonly flareRate: Float64Array;
}

export interface NoCorrections {
  readonly kind: 'insufficient';
  readonly reason: 'noShifts';
}

export interface EstimateOptions {
  readonly prior?: CorrectionPrior;
  /** Components to start from, or to keep when `maxIterations` is 0. */
  readonly start?: VarianceComponents;
  /** Largest relative change of a component in the last iteration. Default 0.01. */
  readonly tolerance?: number;
  /** Default 25. */
  readonly maxIterations?: number;
  /** Range of every component. Default 0.0005 to 2. */
  readonly bounds?: ComponentOptions['bounds'];
  /** The components are learned from at most so many vehicles, evenly taken; corrections always from all. Default 80. */
  readonly componentVehicles?: number;
  /** Whether what all vehicles have in common is put into the map, see `commonTrims`. Default true. */
  readonly centresTrims?: boolean;
}

const USUAL_COMPONENTS: VarianceComponents = {
  residualSd: 0.08,
  vehicleSd: 0.06,
  vehicleShiftSd: 0.03,
  roughnessSd: { base: 0.03, multiplier: 0.03 },
};

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

/** A fleet with the components that were learned from it: all that its corrections follow from. */
export interface FittedFleet {
  readonly ids: readonly string[];
  readonly blocks: NodeBlocks;
  readonly sums: FleetSums;
  readonly priors: ReturnType<typeof blockPriors>;
  readonly fit: ReturnType<typeof fitComponents>;
  readonly evidence: NodeEvidence;
  readonly centresTrims: boolean;
}

/** Null without any shift that has weight. */
export function fitFleet(
  design: NodeDesign,
  vehicles: ReadonlyMap<string, ShiftMoments>,
  {
    prior = DEFAULT_PRIOR,
    start = USUAL_COMPONENTS,
    tolerance = 0.01,
    maxIterations = 25,
    bounds = { lowest: 0.0005, highest: 2 },
    componentVehicles = 80,
    centresTrims = true,
  }: EstimateOptions = {},
): FittedFleet | null {
  const driven = [...vehicles].filter(([, moments]) => [...moments.values()].some(({ weight }) => weight > 0));
  if (driven.length === 0) return null;
  const ids = driven.map(([id]) => id).sort();
  const fleet = ids.map((id) => vehicles.get(id) ?? new Map());
  const blocks = nodeBlocks(design, fleet);
  const sums = fleetSums(blocks, fleet);
  const sample = fleet.length > componentVehicles ? fleetSums(blocks, evenly(fleet, componentVehicles)) : sums;
  const fit = fitComponents(sample, prior, { start, bounds, tolerance, maxIterations });
  const evidence = nodeEvidence(design.nodeCount, fleet);
  return { ids, blocks, sums, priors: blockPriors(sums, prior), fit, evidence, centresTrims };
}

export function estimateOf(design: NodeDesign, fitted: FittedFleet): CorrectionEstimate {
  const { ids, blocks, sums, priors, fit, evidence, centresTrims } = fitted;
  const posterior = arrowPosterior(sums, priors, fit.components);
  const common = centresTrims ? commonTrims(sums, posterior) : NOTHING_COMMON;
  const correctionLn = spreadMeans(design, blocks, posterior.blocks);
  return {
    kind: 'estimate',
    ...withCommonTrims({ correctionLn }, sums, common, evidence.shifts),
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
  const { ids, blocks, sums, priors, fit, evidence, centresTrims } = fitted;
  const means = arrowMeans(sums, priors, fit.components);
  const common = centresTrims ? commonTrims(sums, means) : NOTHING_COMMON;
  const correctionLn = spreadMeans(design, blocks, means.blocks);
  return {
    ...withCommonTrims({ correctionLn }, sums, common, evidence.shifts),
    trims: withoutCommonTrims(trimMeans(ids, sums, means), common),
  };
}

function evenly<T>(items: readonly T[], count: number): T[] {
  return Array.from({ length: count }, (_, i) => items[Math.floor((i * items.length) / count)]);
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

/** Counts the evidence behind each node. O(vehicles · nodes). */
function nodeEvidence(nodeCount: number, fleet: readonly ShiftMoments[]): NodeEvidence {
  const shifts = new Float64Array(nodeCount);
  const squares = new Float64Array(nodeCount);
  const passes = new Float64Array(nodeCount);
  const flares = new Float64Array(nodeCount);
  const own = new Float64Array(nodeCount);
  for (const moments of fleet) {
    own.fill(0);
    for (const part of moments.values()) {
      for (let i = 0; i < part.nodes.length; i += 1) {
        const node = part.nodes[i];
        own[node] += part.evidence[i];
        passes[node] += part.passes[i];
        flares[node] += part.flares[i];
      }
    }
    for (let node = 0; node < nodeCount; node += 1) {
      shifts[node] += own[node];
      squares[node] += own[node] * own[node];
    }
  }
  return {
    shifts,
    vehicles: shifts.map((sum, node) => (squares[node] > 0 ? (sum * sum) / squares[node] : 0)),
    flareRate: flares.map((count, node) => count / passes[node]),
  };
}
