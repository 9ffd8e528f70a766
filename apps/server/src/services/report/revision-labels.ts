import type { Reads } from '@syncline/store';

/** Names of revisions, each once, as pages write them; unknown ones are left out. */
export function labelsOf(read: Reads, revisionIds: readonly (string | null)[]): string[] {
  return [...new Set(revisionIds)].flatMap((revisionId) => {
    const found = revisionId === null ? undefined : read.calibrations.findRevision(revisionId);
    return found ? [`${found.calibrationTitle} r${found.number}`] : [];
  });
}
