import type { CorrectionEstimate } from '../estimate/estimate-corrections.js';
import type { ProposalPolicy } from './proposal-policy.js';

/** Why a node is left alone, or moved by less than its correction. In the order in which methods.md 6 asks. */
export type NodeReason =
  /** Its value is not above 0, so a relative correction means nothing. */
  | 'notPositive'
  | 'tooFewShifts'
  | 'tooFewVehicles'
  | 'tooUncertain'
  | 'withinUncertainty'
  | 'stepLimit'
  | 'layoutLimit'
  /** It wants to be lowered, but too many shifts over it flare. */
  | 'flaring'
  /** The required course along an axis, or the slope limit, together with a neighbour. */
  | 'course'
  | 'slope'
  /** It has too little evidence of its own and only goes along, so that course and slope hold for a neighbour. */
  | 'carried'
  /** What is left of the correction is less than half a storage step. */
  | 'storageStep';

/**
 * How far a node may go: from `low` to `high`. By its own evidence it goes one way and one of them is its value; one that
 * may be carried goes either way but wants to stay.
 */
export interface NodeVerdict {
  readonly wanted: number;
  readonly low: number;
  readonly high: number;
  readonly reasons: readonly NodeReason[];
}

/** What one node's evidence allows, before its neighbours are asked. */
export function judgeNode(
  estimate: CorrectionEstimate,
  node: number,
  value: number,
  limits: { readonly min: number; readonly max: number },
  policy: ProposalPolicy,
): NodeVerdict {
  const standing = standStill(estimate, node, value, policy);
  if (standing)
    return { wanted: value, ...carriedRange(estimate, node, value, limits, policy, standing), reasons: [standing] };
  const wanted = value * Math.exp(estimate.correctionLn[node]);
  const step = { low: value * (1 - policy.maxStep), high: value * (1 + policy.maxStep) };
  const reasons: NodeReason[] = [];
  if (wanted < step.low || wanted > step.high) reasons.push('stepLimit');
  const within = clamp(wanted, step.low, step.high);
  if (within < limits.min || within > limits.max) reasons.push('layoutLimit');
  // One-sided: neighbours may hold a node back, but not push it against its own evidence.
  let [low, high] = [value, value];
  if (wanted > value) high = Math.max(value, Math.min(step.high, limits.max));
  else if (wanted < value && isFlaring(estimate, node, policy)) reasons.push('flaring');
  else if (wanted < value) low = Math.min(value, Math.max(step.low, limits.min));
  return { wanted: clamp(wanted, low, high), low, high, reasons };
}

const THIN: readonly NodeReason[] = ['tooFewShifts', 'tooFewVehicles', 'tooUncertain'];

/** Where a node that stands still may be carried by its neighbours. */
function carriedRange(
  estimate: CorrectionEstimate,
  node: number,
  value: number,
  limits: { readonly min: number; readonly max: number },
  policy: ProposalPolicy,
  standing: NodeReason,
): { low: number; high: number } {
  if (!policy.carriesThin || !THIN.includes(standing)) return { low: value, high: value };
  const low = isFlaring(estimate, node, policy) ? value : Math.max(value * (1 - policy.maxStep), limits.min);
  return { low: Math.min(value, low), high: Math.max(value, Math.min(value * (1 + policy.maxStep), limits.max)) };
}

/** The reason to leave a node alone, or null. */
function standStill(
  { correctionLn, sdLn, evidence }: CorrectionEstimate,
  node: number,
  value: number,
  policy: ProposalPolicy,
): NodeReason | null {
  if (!(value > 0)) return 'notPositive';
  if (!(evidence.shifts[node] >= policy.minShifts)) return 'tooFewShifts';
  if (!(evidence.vehicles[node] >= policy.minVehicles)) return 'tooFewVehicles';
  if (!(sdLn[node] <= policy.maxSdLn)) return 'tooUncertain';
  if (!(Math.abs(correctionLn[node]) > policy.leastSignal * sdLn[node])) return 'withinUncertainty';
  return null;
}

/** Whether more of the shifts over a node flared than the policy allows. */
function isFlaring({ evidence }: CorrectionEstimate, node: number, policy: ProposalPolicy): boolean {
  return evidence.flareRate[node] > policy.maxFlareRate;
}

function clamp(value: number, low: number, high: number): number {
  return Math.min(high, Math.max(low, value));
}
