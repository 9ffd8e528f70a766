import type { CalibrationResponse, DraftSummary } from '@syncline/contract';
import { useQueries } from '@tanstack/react-query';
import { draftQueries } from '../../api/drafts.js';

/** The open drafts of all calibrations, as far as they have come; they may be compared like revisions. */
export function useOpenDrafts(calibrations: readonly CalibrationResponse[] | undefined): DraftSummary[] {
  return useQueries({
    queries: (calibrations ?? []).map(({ id }) => draftQueries.list(id)),
    combine: (results) => results.flatMap(({ data }) => data?.items ?? []),
  });
}
