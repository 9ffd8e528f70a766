import { z } from 'zod';

/** View of the Log page: the chosen shift, the zoom of the drive (s), and which time the page speaks of. */
export const logSearch = z.object({
  shift: z.string().optional(),
  from: z.coerce.number().optional(),
  to: z.coerce.number().optional(),
});
