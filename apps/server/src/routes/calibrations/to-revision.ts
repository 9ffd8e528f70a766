import type { TableDifference as DomainDifference } from '@syncline/calibration';
import type * as Contract from '@syncline/contract';
import type { CalibrationDetail, CalibrationSummary, DraftSummary, RevisionSummary } from '@syncline/store';
import type { OpenedRevision } from '../../services/calibrations.js';
import { toDraftSummary } from '../drafts/to-draft.js';
import { toInstant } from '../format.js';

export function toCalibrationSummary(summary: CalibrationSummary): Contract.CalibrationSummary {
  const { id, title, platformId, platformTitle, revisionCount, newestRevisionNumber, vehicleCount } = summary;
  return {
    id,
    title,
    platformId,
    platformTitle,
    revisionCount,
    newestRevisionNumber,
    vehicleCount,
    createdAt: toInstant(summary.createdAtMs),
  };
}

export function toCalibrationResponse(
  detail: CalibrationDetail,
  outcomes: readonly Contract.RevisionOutcome[],
): Contract.CalibrationResponse {
  return {
    ...toCalibrationSummary(detail),
    note: detail.note,
    revisions: detail.revisions.map((revision, i) => ({
      ...toRevisionSummary(revision),
      outcome: outcomes[i],
      parentNumber: revision.parentNumber,
    })),
    installations: detail.installations.map(({ sinceAtMs, ...rest }) => ({ ...rest, sinceAt: toInstant(sinceAtMs) })),
  };
}

export function toRevisionSummary({ createdAtMs, ...rest }: RevisionSummary): Contract.RevisionSummary {
  return { ...rest, createdAt: toInstant(createdAtMs) };
}

export function toComparedContent(content: RevisionSummary | DraftSummary): Contract.ComparedContent {
  return 'version' in content ? toDraftSummary(content) : toRevisionSummary(content);
}

export function toRevisionResponse(
  { summary, content }: OpenedRevision,
  findings: Contract.Finding[],
  outcome: Contract.RevisionOutcome,
): Contract.RevisionResponse {
  return {
    ...toRevisionSummary(summary),
    content: content as Contract.RevisionContentDocument,
    findings,
    outcome,
  };
}

export function toTableDifference(difference: DomainDifference): Contract.TableDifference {
  return {
    ...difference,
    axes: difference.axes.map(({ breakpoints, ...axis }) => ({ ...axis, breakpoints: [...breakpoints] })),
    baseValues: [...difference.baseValues],
    otherValues: [...difference.otherValues],
    absolute: [...difference.absolute],
    percent: [...difference.percent],
  };
}
