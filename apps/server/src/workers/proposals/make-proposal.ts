import { canonicalJson, sha256Hex } from '@syncline/calibration';
import { averageRow, expectedRates, oddCars, proposeCorrections } from '@syncline/fleet';
import { openReadOnly, type ProposalResult, type ProposalTally, type ReadStore } from '@syncline/store';
import { stepBack } from '../step-back.js';
import { estimateFleet, type FleetEstimate, openBase } from './estimate-fleet.js';
import type { GatheredMoments } from './gather-moments.js';
import type { ProposalOutcome, ProposalTask } from './proposal-task.js';

/** Share of the work that moments take; the rest is the estimate. */
const MOMENTS_SHARE = 0.7;

/** Makes one proposal from its inputs. Entry point of the worker threads. */
export async function makeProposal({ folder, proposalId, port }: ProposalTask): Promise<ProposalOutcome> {
  stepBack();
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
  const platformId = store.read.calibrations.find(proposal.calibrationId)?.platformId ?? '';
  const base = openBase(store, platformId, inputs);
  const { gathered, found } = estimateFleet(store, inputs, base, (share) => report(MOMENTS_SHARE * share));
  const { fresh: moments } = gathered;
  if (found.kind === 'none') return { kind: 'failed', moments, problem: found.problem };
  const { estimate, byVehicle, response } = found;
  const nodes = proposeCorrections(base.design, estimate, inputs.policy);
  const result: ProposalResult = {
    nodes,
    expectedRates: base.subject.kind === 'rule' ? expectedRates(base.design, byVehicle, estimate, nodes) : [],
    components: estimate.components,
    response,
    isConverged: estimate.isConverged,
    shifts: estimate.shifts,
    vehicles: describeVehicles(found),
    moments: gathered.parts.map(({ vehicleId, revisionId, shiftCount, sha256 }) => ({
      vehicleId,
      revisionId,
      shifts: shiftCount,
      counted: found.counted.get(`${vehicleId}/${revisionId}`) ?? 0,
      sha256,
    })),
    shiftVersions: versionsOf(gathered),
  };
  return { kind: 'ready', moments, result, resultHash: sha256Hex(canonicalJson(result)), tally: tallyOf(result) };
}

function describeVehicles({ estimate, byVehicle, farShifts }: FleetEstimate): ProposalResult['vehicles'] {
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
      farShifts: farShifts.get(trim.vehicleId) ?? 0,
    };
  });
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
