import type { RevisionSummary } from '@syncline/contract';
import { revisionLabel } from '../revision/revision-label.js';

/** What two compared revisions are called. */
export interface PairLabels {
  readonly base: string;
  readonly other: string;
}

/** Labels of both, or undefined when one of them is not among the revisions. */
export function pairLabels(
  revisions: readonly RevisionSummary[],
  baseId: string | undefined,
  otherId: string | undefined,
): PairLabels | undefined {
  const base = revisions.find(({ id }) => id === baseId);
  const other = revisions.find(({ id }) => id === otherId);
  return base && other && { base: revisionLabel(base), other: revisionLabel(other) };
}
