import { z } from 'zod';
import { operatingPointSearch } from '../revision/revision-search.js';

const text = z.string().optional().catch(undefined);
const number = z.coerce.number().optional().catch(undefined);
const index = z.coerce.number().int().min(0).optional().catch(undefined);

/** What the ground of a cell says. */
const SHADE_CHOICES = ['value', 'change'] as const;

/** View of the Draft page: table, variant and active cell, shading, operating point, program of the schedule. */
export const draftSearch = z.object({
  table: text,
  variant: text,
  row: index,
  column: index,
  shade: z.enum(SHADE_CHOICES).optional().catch(undefined),
  ...operatingPointSearch.shape,
  gear: number,
  clutch: text,
  engine: number,
  output: number,
  pedal: number,
  pressure: number,
});
export type DraftSearch = z.infer<typeof draftSearch>;
