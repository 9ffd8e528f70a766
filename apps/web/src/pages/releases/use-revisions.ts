import type { RevisionSummary } from '@syncline/contract';
import { useQueries, useQuery } from '@tanstack/react-query';
import { calibrationQueries } from '../../api/calibrations.js';

/** Every revision of the club, newest first; a release needs one whose content was approved. */
export function useRevisions(): readonly RevisionSummary[] {
  const list = useQuery(calibrationQueries.list());
  const calibrations = useQueries({
    queries: (list.data?.items ?? []).map(({ id }) => calibrationQueries.one(id)),
  });
  return calibrations
    .flatMap(({ data }) => data?.revisions ?? [])
    .sort((a, b) => b.createdAt.localeCompare(a.createdAt));
}
