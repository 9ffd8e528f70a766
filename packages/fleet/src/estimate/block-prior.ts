import type { NodeBlock } from './node-blocks.js';
import type { NodeSpan } from './node-design.js';
import { roughnessMatrix } from './roughness.js';

/** Standard deviations of everything that is random in y = Xθ + b_j + b_jq + e, all in ln units. */
export interface VarianceComponents {
  /** Of one undisturbed shift, σ. */
  readonly residualSd: number;
  /** Of vehicles, τ1. */
  readonly vehicleSd: number;
  /** Of vehicle × shift kind, τ2. */
  readonly vehicleShiftSd: number;
  /** Of second differences between neighbouring nodes; the λ of methods.md 6 is σ² over its square. */
  readonly roughnessSd: ByRole;
}

export interface ByRole {
  readonly base: number;
  readonly multiplier: number;
}

/** What is fixed of the prior on corrections. */
export interface CorrectionPrior {
  /** Standard deviation of a node's correction before any driving; κ of methods.md 6 is σ² over its square. */
  readonly ridgeSd: ByRole;
  /** Standard deviation of a multiplier's correction averaged over the driving. */
  readonly gaugeSd: number;
  /** The matrix S of a table's roughness θᵀSθ. */
  readonly roughness: (span: NodeSpan) => Float64Array;
}

/**
 * A base table may well be a third off; a multiplier less, so that what both could explain lands in the base. The gauge
 * is far below any step of a table.
 */
export const DEFAULT_PRIOR: CorrectionPrior = {
  ridgeSd: { base: 0.5, multiplier: 0.2 },
  gaugeSd: 0.001,
  roughness: ({ axes }) => roughnessMatrix(axes),
};

/**
 * For a map that is mended round after round: what a base table can explain lands there, and only what it cannot, such as
 * fluid temperature, in a multiplier. Driving tells ill what belongs to which of two axes that go together, such as input
 * and engine speed, and base tables are held by their steps; under the usual prior a multiplier runs ahead of them to its
 * limits and leaves them bent. Nothing is lost by it, since a correction held back is found again in the next round; but
 * the deviations of multipliers are too small where one is far off, and are not to be shown as intervals.
 */
export const STEADY_PRIOR: CorrectionPrior = { ...DEFAULT_PRIOR, ridgeSd: { base: 2, multiplier: 0.01 } };

/** The prior of one block, ready for a change of the components. */
export interface BlockPrior {
  readonly block: NodeBlock;
  readonly prior: CorrectionPrior;
  readonly roughness: readonly Float64Array[];
}

export function blockPrior(block: NodeBlock, prior: CorrectionPrior): BlockPrior {
  return { block, prior, roughness: block.spans.map(({ span }) => prior.roughness(span)) };
}

/** Precision of the block's corrections under the prior, n × n by rows, both triangles. */
export function priorPrecision({ block, prior, roughness }: BlockPrior, roughnessSd: ByRole): Float64Array {
  const size = block.nodes.length;
  const precision = new Float64Array(size * size);
  for (const [s, { span, offset }] of block.spans.entries()) {
    const count = span.values.length;
    const smooth = 1 / roughnessSd[span.role] ** 2;
    for (let i = 0; i < count; i += 1) {
      const row = (offset + i) * size + offset;
      precision[row + i] += 1 / prior.ridgeSd[span.role] ** 2;
      for (let j = 0; j < count; j += 1) precision[row + j] += smooth * roughness[s][i * count + j];
    }
  }
  for (const { places, shares } of block.gauges) {
    for (let i = 0; i < places.length; i += 1) {
      for (let j = 0; j < places.length; j += 1) {
        precision[places[i] * size + places[j]] += (shares[i] * shares[j]) / prior.gaugeSd ** 2;
      }
    }
  }
  return precision;
}
