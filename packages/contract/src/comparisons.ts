import { z } from 'zod';
import { revisionSummary, tableDifference } from './calibrations.js';
import { draftSummary } from './drafts.js';

/** What stands on one side of a comparison; a draft is told by its `version`. */
export const comparedContent = z.union([revisionSummary, draftSummary]);
export type ComparedContent = z.infer<typeof comparedContent>;

export const compareTablesResponse = z.object({
  base: comparedContent,
  other: comparedContent,
  differences: z.array(tableDifference),
  equalTableCount: z.number().int(),
});
export type CompareTablesResponse = z.infer<typeof compareTablesResponse>;
