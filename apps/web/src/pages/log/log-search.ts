import { z } from 'zod';

/** View of the Log page: the chosen shift, the zoom of the drive (s), and the moment that is pointed at (s). */
export const logSearch = z.object({
  shift: z.string().optional(),
  from: z.coerce.number().optional(),
  to: z.coerce.number().optional(),
  at: z.coerce.number().optional(),
});
export type LogSearch = z.infer<typeof logSearch>;
