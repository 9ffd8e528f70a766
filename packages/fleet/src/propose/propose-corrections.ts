import type { CorrectionEstimate } from '../estimate/estimate-corrections.js';
import type { NodeDesign, NodeSpan } from '../estimate/node-design.js';
import { keepAllowed, type NodeRange, nearestAllowed } from './nearest-allowed.js';
import { type NeighbourBound, neighbourBounds } from './neighbour-bounds.js';
import { judgeNode, type NodeReason, type NodeVerdict } from './node-verdict.js';
import { DEFAULT_PROPOSAL_POLICY, type ProposalPolicy } from './proposal-policy.js';
import { type ValueGrid, valueGrid } from './value-grid.js';

/** What is proposed for one node, with everything that led to it. Plain JSON. */
export interface NodeProposal {
  readonly tableId: string;
  readonly variant: string;
  /** Position in the variant's row-major values. */
  readonly nodeIndex: number;
  readonly presentValue: number;
  /** Equal to `presentValue` when left alone. */
  readonly proposedValue: number;
  readonly change: 'raise' | 'lower' | 'leave';
  /** Estimated ln of wanted over present value. */
  readonly correctionLn: number;
  /** Null where nobody drove. */
  readonly sdLn: number | null;
  /** Effective numbers behind the node. */
  readonly shifts: number;
  readonly vehicles: number;
  readonly flareRate: number | null;
  /** Empty when the whole correction is made. */
  readonly reasons: readonly NodeReason[];
}

/**
 * A revision's proposal: one entry per node of the rule's tables, in the design's order (methods.md 6). No node leaves
 * its limits, breaks the layout's course or slope, exceeds the step, moves without evidence or against it, or is
 * lowered while it flares. The same inputs give the same proposal, so that it can be hashed as canonical JSON.
 */
export function proposeCorrections(
  design: NodeDesign,
  estimate: CorrectionEstimate,
  policy: ProposalPolicy = DEFAULT_PROPOSAL_POLICY,
): NodeProposal[] {
  return design.spans.flatMap((span) => proposeSpan(span, estimate, policy));
}

function proposeSpan(span: NodeSpan, estimate: CorrectionEstimate, policy: ProposalPolicy): NodeProposal[] {
  const grid = valueGrid(span.spec, span.values);
  const verdicts = span.values.map((value, i) => judgeNode(estimate, span.start + i, value, span.spec.limits, policy));
  const nodes = verdicts.map((verdict, i) => rangeOf(verdict, span.values[i], estimate.sdLn[span.start + i], grid));
  const present = nodes.map((node) => node.present);
  const bounds = neighbourBounds(span.spec, span.axes, present, grid);
  const nearest = nearestAllowed(nodes, bounds).map((x, i) => (grid.isWhole ? roundWithin(x, nodes[i]) : x));
  const allowed = keepAllowed(present, nearest, bounds);
  return span.values.map((presentValue, i) => {
    const node = span.start + i;
    const isMoved = allowed[i] !== present[i];
    const proposedValue = isMoved ? grid.toValue(allowed[i]) : presentValue;
    return {
      tableId: span.spec.id,
      variant: span.variant,
      nodeIndex: i,
      presentValue,
      proposedValue,
      change: proposedValue > presentValue ? 'raise' : proposedValue < presentValue ? 'lower' : 'leave',
      correctionLn: rounded(estimate.correctionLn[node]),
      sdLn: Number.isFinite(estimate.sdLn[node]) ? rounded(estimate.sdLn[node]) : null,
      shifts: rounded(estimate.evidence.shifts[node]),
      vehicles: rounded(estimate.evidence.vehicles[node]),
      flareRate: Number.isFinite(estimate.evidence.flareRate[node]) ? rounded(estimate.evidence.flareRate[node]) : null,
      reasons: [
        ...verdicts[i].reasons,
        ...(verdicts[i].wanted === presentValue && isMoved
          ? ['carried' as const]
          : shortfallReasons(i, nodes, allowed, bounds, grid.toGrid(verdicts[i].wanted), grid)),
      ],
    };
  });
}

/** A verdict on the grid: a range may only shrink by rounding, but never so far that it leaves the present value. */
function rangeOf({ wanted, low, high }: NodeVerdict, value: number, sdLn: number, grid: ValueGrid): NodeRange {
  const present = grid.toGrid(value);
  const inward = (bound: number, round: (x: number) => number) => (grid.isWhole ? round(grid.toGrid(bound)) : bound);
  const lowest = low < value ? Math.min(present, inward(low, Math.ceil)) : present;
  const highest = high > value ? Math.max(present, inward(high, Math.floor)) : present;
  return {
    present,
    wanted: Math.min(highest, Math.max(lowest, wanted === value ? present : grid.toGrid(wanted))),
    low: lowest,
    high: highest,
    variance: (sdLn * value) ** 2,
  };
}

function roundWithin(x: number, { low, high }: NodeRange): number {
  return Math.min(high, Math.max(low, Math.round(x)));
}

/** Why a node stops short of what its own evidence wants: the bounds that hold it, or the storage step. */
function shortfallReasons(
  i: number,
  nodes: readonly NodeRange[],
  allowed: readonly number[],
  bounds: readonly NeighbourBound[],
  ownWanted: number,
  grid: ValueGrid,
): NodeReason[] {
  const { present, wanted } = nodes[i];
  const missing = wanted - allowed[i];
  const smallest = grid.isWhole ? 0.5 : 1e-9 * Math.abs(present);
  if (Math.abs(missing) <= smallest) {
    const isLost = allowed[i] === present && ownWanted !== present;
    return isLost || Math.abs(ownWanted - allowed[i]) > smallest ? ['storageStep'] : [];
  }
  const reach = grid.isWhole ? 1 : 1e-6 * Math.abs(present);
  const reasons = bounds
    .filter(({ a, b }) => a === i || b === i)
    .filter(({ a, b, low, high }) => {
      const difference = allowed[b] - allowed[a];
      const wantsMore = missing > 0 === (b === i);
      return wantsMore ? high - difference < reach : difference - low < reach;
    })
    .map(({ reason }) => reason);
  return [...new Set(reasons)];
}

/** To 1e-6, so that the last bits of another machine's logarithm do not change a hash. 0 for what is not a number. */
function rounded(value: number): number {
  return Number.isFinite(value) ? Math.round(value * 1e6) / 1e6 : 0;
}
