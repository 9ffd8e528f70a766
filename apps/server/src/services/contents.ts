import type { Layout, Platform, RevisionContent } from '@syncline/calibration';
import type { DraftSummary, RevisionSummary } from '@syncline/store';
import type { CalibrationService } from './calibrations.js';
import type { DraftService } from './drafts.js';

/** Content to be read, of a revision or of a draft as it stands. */
export interface ReadableContent {
  readonly summary: RevisionSummary | DraftSummary;
  readonly content: RevisionContent;
  readonly layout: Layout;
  readonly platform: Platform;
}

const DRAFT_PREFIX = 'draft:';

/** How a draft is written where a revision could stand too. */
export function draftReference(draftId: string): string {
  return `${DRAFT_PREFIX}${draftId}`;
}

export type ContentService = ReturnType<typeof createContentService>;

/** Reads what a reference means: the id of a revision, or `draft:` and that of a draft. */
export function createContentService(calibrations: CalibrationService, drafts: DraftService) {
  return {
    open: (reference: string): ReadableContent =>
      reference.startsWith(DRAFT_PREFIX)
        ? drafts.read(reference.slice(DRAFT_PREFIX.length))
        : calibrations.open(reference),
  };
}
