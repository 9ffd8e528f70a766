import { z } from 'zod';

/** View of the Calibration page: the revision whose cars are listed; without one, all cars are. */
export const calibrationSearch = z.object({
  runs: z.string().optional().catch(undefined),
});
