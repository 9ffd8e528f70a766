import { OUTCOME_MEASURES } from '@syncline/contract';
import { z } from 'zod';
import { operatingPointSearch } from '../revision/revision-search.js';

const text = z.string().optional().catch(undefined);
const index = z.coerce.number().int().min(0).optional().catch(undefined);

/** Whether a difference is shown in the unit of the table or as a share of the base. */
const CHANGE_CHOICES = ['absolute', 'percent'] as const;
export type ChangeKind = (typeof CHANGE_CHOICES)[number];

/** View of the Compare page: both revisions, the table and cell that are looked at, the operating point. */
export const compareSearch = z.object({
  base: text,
  other: text,
  /** The measure that is taken apart. */
  measure: z.enum(OUTCOME_MEASURES).optional().catch(undefined),
  table: text,
  variant: text,
  row: index,
  column: index,
  change: z.enum(CHANGE_CHOICES).optional().catch(undefined),
  /** `1` lists the tables that are equal as well. */
  all: z.coerce.number().int().optional().catch(undefined),
  ...operatingPointSearch.shape,
});
export type CompareSearch = z.infer<typeof compareSearch>;
