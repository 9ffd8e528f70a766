import type * as Contract from '@syncline/contract';
import type { KeptPreview, ProposalDetail, ProposalSummary, TrimDocument } from '@syncline/store';
import type { DraftPreview } from '../../services/proposals/draft-previews.js';
import type { ProposalService } from '../../services/proposals/proposals.js';
import { toInstant, toInstantOrNull } from '../format.js';

export function toProposalSummary(
  { base, subject: _subject, ...proposal }: ProposalSummary,
  subject: Contract.ProposalSubject,
): Contract.ProposalSummary {
  const { id, calibrationId, calibrationTitle, state, tally, inputHash, resultHash, isByItself, requestedByName } =
    proposal;
  return {
    id,
    calibrationId,
    calibrationTitle,
    baseRevisionId: base.id,
    baseRevisionNumber: base.number,
    subject,
    state,
    problem: proposal.problem,
    isByItself,
    requestedAt: toInstant(proposal.requestedAtMs),
    requestedByName,
    madeAt: toInstantOrNull(proposal.madeAtMs),
    tally,
    inputHash,
    resultHash,
    decisions: proposal.decisions.map(({ decidedAtMs, ...decision }) => ({
      ...decision,
      decidedAt: toInstant(decidedAtMs),
    })),
  };
}

export function toProposalResponse(service: ProposalService, detail: ProposalDetail): Contract.ProposalResponse {
  const { inputs, result, id } = detail;
  const { platformId, revisionNumbers, titles } = service.namesIn(detail);
  const momentsOf = new Map(result?.moments.map((part) => [`${part.vehicleId}/${part.revisionId}`, part]));
  return {
    ...toProposalSummary(detail, service.subjectOf(detail)),
    platformId,
    layoutVersion: inputs.layoutVersion,
    baseContentHash: inputs.baseContentHash,
    policy: { useSameCommand: false, ...inputs.policy },
    estimatorVersion: inputs.estimatorVersion,
    analysisVersion: inputs.analysisVersion,
    gradingPolicyVersion: inputs.gradingPolicyVersion,
    evidence: inputs.evidence.map(({ vehicleId, revisionId, version }) => {
      const moments = momentsOf.get(`${vehicleId}/${revisionId}`);
      return {
        vehicleId,
        vehicleTitle: titles.get(vehicleId) ?? vehicleId,
        revisionId,
        revisionNumber: revisionNumbers.get(revisionId) ?? null,
        version,
        shifts: moments?.shifts ?? null,
        counted: moments?.counted ?? null,
        momentsHash: moments?.sha256 ?? null,
      };
    }),
    result: result && {
      nodes: result.nodes.map((node) => ({ ...node, reasons: [...node.reasons] })),
      expectedRates: [...result.expectedRates],
      components: result.components,
      response: result.response,
      isConverged: result.isConverged,
      shifts: result.shifts,
      shiftVersions: [...result.shiftVersions],
      vehicles: result.vehicles.map(({ vehicleId, ...own }) => ({
        vehicleId,
        vehicleTitle: titles.get(vehicleId) ?? vehicleId,
        ...toVehicleTrim(own),
      })),
    },
    preview: toPreview(service, id),
  };
}

/** In pressure a trim is its ln torque over p/(p − p_ret). */
export function toVehicleTrim(document: TrimDocument): Contract.VehicleTrim {
  const { trim, shifts, gainByKind, shiftsByKind, odd, farShifts } = document;
  const { trimLn, sdLn, surprise } = trim;
  return {
    trimLn,
    sdLn,
    surprise,
    shifts,
    farShifts: farShifts ?? null,
    byKind: trim.byKind.map((own) => {
      const gain = gainByKind[own.shiftKind];
      return {
        ...own,
        shifts: shiftsByKind[own.shiftKind] ?? 0,
        pressureLn: gain ? own.trimLn / gain : null,
        pressureSdLn: gain ? own.sdLn / gain : null,
      };
    }),
    odd: odd.map(({ vehicleId: _vehicleId, ...what }) => what),
  };
}

export function toDraftPreview({ base, isRunning, kept }: DraftPreview): Contract.DraftPreviewResponse {
  return {
    base,
    contentHash: kept?.contentHash ?? null,
    preview: isRunning ? { kind: 'running' } : toKeptPreview(kept),
  };
}

function toPreview(service: ProposalService, proposalId: string): Contract.PreviewState {
  return service.isPreviewing(proposalId) ? { kind: 'running' } : toKeptPreview(service.findPreview(proposalId));
}

function toKeptPreview(kept: KeptPreview | undefined): Contract.PreviewState {
  if (!kept) return { kind: 'none' };
  // What the worker made; the response is checked against the contract when it is sent.
  return { changed: null, ...(kept.document as object), madeAt: toInstant(kept.madeAtMs) } as Contract.PreviewState;
}
