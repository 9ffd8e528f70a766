import { canonicalJson, sha256Hex } from '@syncline/calibration';
import {
  averageRow,
  type CorrectionEstimate,
  carryMoments,
  type EarlierMoments,
  estimateCorrections,
  expectedRates,
  type FleetResponse,
  fleetResponse,
  type NodeDesign,
  oddCars,
  proposeCorrections,
  type ShiftMoments,
  scaledByResponse,
  USUAL_RESPONSE,
} from '@syncline/fleet';
import {
  openReadOnly,
  type ProposalDetail,
  type ProposalResult,
  type ProposalTally,
  type ReadStore,
} from '@syncline/store';
import { findSubject, subjectDesign } from '../../services/proposals/subjects.js';
import { doubtOf } from './doubt-of-estimate.js';
import { type GatheredMoments, gatherMoments } from './gather-moments.js';
import type { ProposalOutcome, ProposalTask } from './proposal-task.js';

/** Share of the work that moments take; the rest is the estimate. */
const MOMENTS_SHARE = 0.7;

/** Makes one proposal from its inputs. Entry point of the worker threads. */
export async function makeProposal({ folder, proposalId, port }: ProposalTask): Promise<ProposalOutcome> {
  const store = openReadOnly({ folder, clock: Date.now });
  try {
    return propose(store, proposalId, (share) => port.postMessage(share));
  } finally {
    port.close();
    store.close();
  }
}

function propose(store: ReadStore, proposalId: string, report: (share: number) => void): ProposalOutcome {
  const proposal = store.read.proposals.find(proposalId);
  if (!proposal) throw new Error(`there is no proposal ${proposalId}`);
  const { inputs } = proposal;
  const revisionIds = [...new Set(inputs.evidence.map(({ revisionId }) => revisionId))];
  if (canonicalJson(store.read.proposals.evidence(revisionIds)) !== canonicalJson(inputs.evidence)) {
    return { kind: 'outdated', moments: [] };
  }
  const base = openBase(store, proposal);
  const gathered = gatherMoments(store, proposal, base, (share) => report(MOMENTS_SHARE * share));
  const { fresh: moments } = gathered;
  const response = responseOf(base.design, gathered);
  const byVehicle = carryMoments(gathered.newest, gathered.earlier, response.slope);
  const found = estimateCorrections(base.design, byVehicle);
  if (found.kind === 'insufficient') return { kind: 'failed', moments, problem: noneTells(gathered) };
  const estimate = scaledByResponse(found, response);
  const doubt = doubtOf(estimate);
  if (doubt !== null) return { kind: 'failed', moments, problem: doubt };
  const nodes = proposeCorrections(base.design, estimate, inputs.policy);
  const result: ProposalResult = {
    nodes,
    expectedRates: base.subject.kind === 'rule' ? expectedRates(base.design, byVehicle, estimate, nodes) : [],
    components: estimate.components,
    response,
    isConverged: estimate.isConverged,
    shifts: estimate.shifts,
    vehicles: describeVehicles(estimate, byVehicle),
    moments: gathered.parts.map(({ vehicleId, revisionId, shiftCount, sha256 }) => ({
      vehicleId,
      revisionId,
      shifts: shiftCount,
      sha256,
    })),
    shiftVersions: versionsOf(gathered),
  };
  return { kind: 'ready', moments, result, resultHash: sha256Hex(canonicalJson(result)), tally: tallyOf(result) };
}

/** How far responses followed the last change of the map: from the earlier revision with the most shifts. */
function responseOf(design: NodeDesign, { newest, earlier }: GatheredMoments): FleetResponse {
  const shiftsOf = ({ byVehicle }: EarlierMoments) =>
    [...byVehicle.values()].reduce((sum, own) => [...own.values()].reduce((part, { shifts }) => part + shifts, sum), 0);
  const [before] = [...earlier].sort((a, b) => shiftsOf(b) - shiftsOf(a));
  const estimate = before && estimateCorrections(design, newest);
  if (!estimate || estimate.kind === 'insufficient') return USUAL_RESPONSE;
  return fleetResponse(estimate, before.byVehicle, before.changeLn);
}

function openBase({ read }: ReadStore, { inputs, calibrationId }: ProposalDetail) {
  const { baseRevisionId, layoutVersion, subject: subjectId } = inputs;
  const platformId = read.calibrations.find(calibrationId)?.platformId ?? '';
  const platform = read.platforms.find(platformId)?.platform;
  const layout = read.platforms.findLayout(platformId, layoutVersion);
  const content = read.calibrations.findContent(baseRevisionId);
  const subject = layout && findSubject(layout, subjectId);
  if (!platform || !layout || !content || !subject) throw new Error(`revision ${baseRevisionId} cannot be opened`);
  return { platform, subject, design: subjectDesign(layout, content, subject) };
}

function describeVehicles(
  estimate: CorrectionEstimate,
  byVehicle: ReadonlyMap<string, ShiftMoments>,
): ProposalResult['vehicles'] {
  const odd = oddCars(estimate, byVehicle);
  return estimate.trims.map((trim) => {
    const moments = byVehicle.get(trim.vehicleId) ?? new Map();
    const kinds = trim.byKind.map(({ shiftKind }) => shiftKind);
    const perKind = (valueOf: (kind: string) => number) =>
      Object.fromEntries(kinds.map((kind) => [kind, valueOf(kind)]));
    const shiftsOf = (kind: string) => moments.get(kind)?.shifts ?? 0;
    return {
      vehicleId: trim.vehicleId,
      trim,
      shifts: kinds.reduce((sum, kind) => sum + shiftsOf(kind), 0),
      shiftsByKind: perKind(shiftsOf),
      gainByKind: perKind((kind) => averageRow(moments, kind)?.gain ?? 1),
      odd: odd.filter(({ vehicleId }) => vehicleId === trim.vehicleId),
    };
  });
}

function noneTells({ parts }: GatheredMoments): string {
  const count = parts.reduce((total, { shiftCount }) => total + shiftCount, 0);
  return (
    `None of the ${count} shifts tells how much was missing: it takes a shift that was completed, with its torque and all ` +
    'that the tables ask for in the log, such as load, speeds, fluid temperature and program.'
  );
}

function versionsOf({ parts }: GatheredMoments): string[] {
  return [...new Set(parts.flatMap(({ versions }) => versions))].sort();
}

function tallyOf({ nodes, shifts, vehicles }: ProposalResult): ProposalTally {
  const count = (change: string) => nodes.filter((node) => node.change === change).length;
  return {
    raised: count('raise'),
    lowered: count('lower'),
    left: count('leave'),
    shifts,
    vehicles: vehicles.length,
    oddVehicles: vehicles.filter(({ odd }) => odd.length > 0).length,
  };
}
