import { DIALECT_VERDICTS } from '@syncline/contract';
import { z } from 'zod';

const VEHICLE_SORTS = ['title', 'flare', 'tieUp', 'lastDriven', 'shifts'] as const;

/** View of the Vehicles page. */
export const vehiclesSearch = z.object({
  find: z.string().optional().catch(undefined),
  platform: z.string().optional().catch(undefined),
  verdict: z.enum(DIALECT_VERDICTS).optional().catch(undefined),
  sort: z.enum(VEHICLE_SORTS).optional().catch(undefined),
});
export type VehiclesSearch = z.infer<typeof vehiclesSearch>;
