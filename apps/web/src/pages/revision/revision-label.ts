import type { RevisionSummary } from '@syncline/contract';

/** Name of a revision on every page, for example “Tern base r3”. */
export function revisionLabel({
  calibrationTitle,
  number,
}: Pick<RevisionSummary, 'calibrationTitle' | 'number'>): string {
  return `${calibrationTitle} r${number}`;
}
