import { z } from 'zod';

/**
 * View of the Calibration page: the revision whose cars are listed, without one all cars are; the draft that was just
 * discarded and can be brought back.
 */
export const calibrationSearch = z.object({
  runs: z.string().optional().catch(undefined),
  discarded: z.string().optional().catch(undefined),
});
