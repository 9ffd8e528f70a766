import { type CorrectionPrior, DEFAULT_PRIOR, type VarianceComponents } from './block-prior.js';
import { type FleetSums, fleetSums, lessWeight } from './fleet-sums.js';
import { type LostWeight, lessEvidence } from './lost-weight.js';
import { gaugedBy, type NodeBlocks, nodeBlocks } from './node-blocks.js';
import type { NodeDesign } from './node-design.js';
import type { ShiftMoments } from './shift-moments.js';
import { blockPriors, type ComponentOptions, fitComponents } from './variance-components.js';

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

/** What stands behind each node. */
export interface NodeEvidence {
  /** Effective number of shifts: Σ weight · share. */
  readonly shifts: Float64Array;
  /** Effective number of vehicles: (Σ n_j)²/Σ n_j² (Kish 1965). */
  readonly vehicles: Float64Array;
  /** Share of flares in the shifts that passed over the node; NaN where none did. */
  readonly flareRate: Float64Array;
}

/** The moments of a fleet in the form in which they are solved, whatever the components. */
interface GatheredFleet {
  readonly ids: readonly string[];
  readonly blocks: NodeBlocks;
  readonly sums: FleetSums;
  /** Those of the vehicles that the components are learned from. */
  readonly sample: FleetSums;
  readonly evidence: NodeEvidence;
  /** Σ w·share of every node. */
  readonly behind: Float64Array;
  readonly options: Required<EstimateOptions>;
}

/** A fleet with the components that were learned from it: all that its corrections follow from. */
export interface FittedFleet extends GatheredFleet {
  readonly priors: ReturnType<typeof blockPriors>;
  readonly fit: ReturnType<typeof fitComponents>;
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
  const evidence = nodeEvidence(design.nodeCount, fleet);
  const options = { prior, start, tolerance, maxIterations, bounds, componentVehicles, centresTrims };
  return learn({ ids, blocks, sums, sample, evidence, behind: evidence.shifts, options }, start);
}

/**
 * The same fleet where some shifts count less: what `fitFleet` makes of moments without the lost weight, in a fraction of
 * its time, but for the evidence, as a shift that lost weight was driven all the same.
 * @param fleet with every weight as observed
 * @param lost by vehicle
 * @param start components to start from
 */
export function refitFleet(
  fleet: FittedFleet,
  lost: ReadonlyMap<string, readonly LostWeight[]>,
  start: VarianceComponents,
): FittedFleet {
  const byPlace = fleet.ids.map((id) => lost.get(id) ?? []);
  const behind = lessEvidence(fleet.behind, byPlace.flat());
  const blocks = gaugedBy(fleet.blocks, behind);
  const sums = lessWeight(blocks, fleet.sums, byPlace);
  const sample =
    fleet.sample === fleet.sums
      ? sums
      : lessWeight(blocks, fleet.sample, evenly(byPlace, fleet.options.componentVehicles));
  return learn({ ...fleet, behind, blocks, sums, sample }, start);
}

function learn(gathered: GatheredFleet, start: VarianceComponents): FittedFleet {
  const { sums, sample, options } = gathered;
  const fit = fitComponents(sample, options.prior, { ...options, start });
  return { ...gathered, priors: blockPriors(sums, options.prior), fit };
}

function evenly<T>(items: readonly T[], count: number): T[] {
  return Array.from({ length: count }, (_, i) => items[Math.floor((i * items.length) / count)]);
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
