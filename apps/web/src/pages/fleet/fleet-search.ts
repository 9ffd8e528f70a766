import { OUTCOME_MEASURES, SPREAD_MEASURES } from '@syncline/contract';
import { z } from 'zod';

const text = z.string().optional().catch(undefined);

/** View of the Fleet page: what is measured, and over which part of the driving. */
export const fleetSearch = z.object({
  platform: text,
  measure: z
    .enum([...OUTCOME_MEASURES, ...SPREAD_MEASURES])
    .optional()
    .catch(undefined),
  revision: text,
  program: text,
  fluid: z.coerce.number().int().min(0).max(20).optional().catch(undefined),
  dialect: text,
  engine: text,
});
export type FleetSearch = z.infer<typeof fleetSearch>;
