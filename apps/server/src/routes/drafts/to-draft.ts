import type { RevisionContent } from '@syncline/calibration';
import type * as Contract from '@syncline/contract';
import type { DraftSave, DraftSummary } from '@syncline/store';
import type { OpenedDraft } from '../../services/drafts.js';
import { toInstant } from '../format.js';

export function toDraftSummary(draft: DraftSummary): Contract.DraftSummary {
  const { id, calibrationId, calibrationTitle, platformId, layoutVersion, title, line, origin, originNote } = draft;
  const { parentId, parentNumber, mergeParentId, mergeParentNumber, version, createdByName, updatedByName } = draft;
  return {
    id,
    calibrationId,
    calibrationTitle,
    platformId,
    layoutVersion,
    title,
    line,
    origin,
    originNote,
    parentId,
    parentNumber,
    mergeParentId,
    mergeParentNumber,
    version,
    lock: toDraftLock(draft),
    createdAt: toInstant(draft.createdAtMs),
    createdByName,
    updatedAt: toInstant(draft.updatedAtMs),
    updatedByName,
  };
}

export function toDraftResponse({ summary, ...draft }: OpenedDraft): Contract.DraftResponse {
  return {
    ...toDraftSummary(summary),
    content: toContentDocument(draft.content),
    contentHash: summary.contentHash,
    findings: draft.findings,
    parentContent: draft.parentContent && toContentDocument(draft.parentContent),
    isUnchanged: draft.isUnchanged,
  };
}

export function toSaveDraftResponse({ summary, findings }: OpenedDraft): Contract.SaveDraftResponse {
  const { version, updatedAtMs, contentHash } = summary;
  return { version, updatedAt: toInstant(updatedAtMs), contentHash, findings, lock: toDraftLock(summary) };
}

export function toDraftSaves(saves: readonly DraftSave[]): Contract.DraftSaves {
  return { items: saves.map(({ savedAtMs, ...save }) => ({ ...save, savedAt: toInstant(savedAtMs) })) };
}

// The document is the domain's own value; only the readonly marks go.
export function toContentDocument(content: RevisionContent): Contract.RevisionContentDocument {
  return content as Contract.RevisionContentDocument;
}

function toDraftLock({ lock }: DraftSummary): Contract.DraftLock | null {
  return lock && { personId: lock.personId, personName: lock.personName, untilAt: toInstant(lock.untilMs) };
}
