import { z } from 'zod';

/** Which car the drives on the Upload page are of, and the drive whose columns are being named. */
export const uploadSearch = z.object({
  vehicle: z.string().optional().catch(undefined),
  log: z.string().optional().catch(undefined),
});
