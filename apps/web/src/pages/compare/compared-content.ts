import type { ComparedContent, DraftSummary } from '@syncline/contract';
import { revisionLabel } from '../revision/revision-label.js';

/** Whether one side of a comparison is a draft: that has been saved, a revision is numbered. */
export function isDraftSide(side: ComparedContent): side is DraftSummary {
  return 'version' in side;
}

/** How a draft is named in an address, beside the ids of revisions. */
export function draftKey(draftId: string): string {
  return `draft:${draftId}`;
}

/** Name of one side in an address. */
export function keyOf(side: ComparedContent): string {
  return isDraftSide(side) ? draftKey(side.id) : side.id;
}

/** Name of one side on the page: “Tern base r3”, “draft Softer 2-3”. */
export function labelOf(side: ComparedContent): string {
  return isDraftSide(side) ? `draft ${side.title}` : revisionLabel(side);
}
