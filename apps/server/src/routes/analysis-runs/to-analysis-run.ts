import type * as Contract from '@syncline/contract';
import type { AnalysisRun, CandidateSummary, KindChange } from '@syncline/store';
import type { ReanalysisService } from '../../services/reanalysis.js';
import { toInstant, toInstantOrNull } from '../format.js';
import { toShiftRow } from '../shifts/to-shift.js';

export function toAnalysisRun(run: AnalysisRun): Contract.AnalysisRun {
  const { id, platformId, platformTitle, reason, analysisVersion, policyVersion, policyInForce, state } = run;
  return {
    id,
    platformId,
    platformTitle,
    reason,
    analysisVersion,
    policyVersion,
    policyInForce,
    state,
    beganAt: toInstant(run.beganAtMs),
    beganByName: run.beganByName,
    endedAt: toInstantOrNull(run.endedAtMs),
    endedByName: run.endedByName,
    endNote: run.endNote,
    progress: run.progress && { ...run.progress },
  };
}

export function toAnalysisRunResponse(found: ReturnType<ReanalysisService['get']>): Contract.AnalysisRunResponse {
  return { ...toAnalysisRun(found.run), effect: found.effect, changedLogs: found.changed.map(toCandidateLog) };
}

export function toCandidateResponse({
  candidate,
  pairs,
}: ReturnType<ReanalysisService['getLog']>): Contract.CandidateResponse {
  return {
    ...toCandidateLog(candidate),
    pairs: pairs.map(({ before, after }) => ({
      before: before && toShiftRow(before),
      after: after && toShiftRow(after),
    })),
  };
}

function toCandidateLog({ logId, fileName, vehicleTitle, drivenAtMs, outcome, problem, changes }: CandidateSummary) {
  const total = (key: 'found' | 'lost' | 'regraded') =>
    Object.values(changes).reduce((sum, change: KindChange) => sum + change[key], 0);
  return {
    logId,
    fileName,
    vehicleTitle,
    drivenAt: toInstant(drivenAtMs),
    outcome,
    problem: problem && { ...problem },
    found: total('found'),
    lost: total('lost'),
    regraded: total('regraded'),
  };
}
