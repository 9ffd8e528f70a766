import { outcomeMeasure } from '@syncline/contract';
import { z } from 'zod';

/** View of the Fleet page: what is measured, and over which part of the driving. */
export const fleetSearch = z.object({
  platform: z.string().optional().catch(undefined),
  measure: outcomeMeasure.optional().catch(undefined),
  revision: z.string().optional().catch(undefined),
  program: z.string().optional().catch(undefined),
  fluid: z.coerce.number().int().min(0).max(20).optional().catch(undefined),
});
export type FleetSearch = z.infer<typeof fleetSearch>;
