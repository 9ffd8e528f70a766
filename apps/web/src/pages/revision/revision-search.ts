import { z } from 'zod';

const text = z.string().optional().catch(undefined);
const number = z.coerce.number().optional().catch(undefined);
const index = z.coerce.number().int().min(0).optional().catch(undefined);

/** What evidence stands in the cells of a table. */
const EVIDENCE_CHOICES = ['flare', 'tie-up', 'none'] as const;

/** Where a commanded quantity is asked for: rule, shift, program, fluid temperature (°C), load (%), input speed (rpm). */
export const operatingPointSearch = z.object({
  rule: text,
  shift: text,
  program: text,
  fluid: number,
  load: number,
  speed: number,
});
export type OperatingPointSearch = z.infer<typeof operatingPointSearch>;

/**
 * View of the Revision page: table, variant and cell that are looked at, evidence shown, operating point; the drive that
 * the schedule is driven over, what that is compared with, and `moves=1` to list the shifts that stay too.
 */
export const revisionSearch = z.object({
  table: text,
  variant: text,
  row: index,
  column: index,
  evidence: z.enum(EVIDENCE_CHOICES).optional().catch(undefined),
  replay: text,
  against: text,
  moves: number,
  ...operatingPointSearch.shape,
});
export type RevisionSearch = z.infer<typeof revisionSearch>;
