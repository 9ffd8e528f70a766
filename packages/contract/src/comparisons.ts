import { z } from 'zod';
import { revisionSummary, tableChange } from './calibrations.js';
import { draftSummary } from './drafts.js';

/** What stands on one side of a comparison; a draft is told by its `version`. */
export const comparedContent = z.union([revisionSummary, draftSummary]);
export type ComparedContent = z.infer<typeof comparedContent>;

export const compareTablesResponse = z.object({
  base: comparedContent,
  other: comparedContent,
  differences: z.array(tableChange).describe('one for each table and variant, largest relative change first'),
  equalTableCount: z.number().int(),
});
export type CompareTablesResponse = z.infer<typeof compareTablesResponse>;
