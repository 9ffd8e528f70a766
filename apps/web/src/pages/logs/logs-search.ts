import { LOG_STATES } from '@syncline/contract';
import { z } from 'zod';

/** View of the Logs page. */
export const logsSearch = z.object({
  vehicle: z.string().optional().catch(undefined),
  state: z.enum(LOG_STATES).optional().catch(undefined),
  revision: z.string().optional().catch(undefined),
  cursor: z.string().optional().catch(undefined),
  page: z.coerce.number().int().min(1).optional().catch(undefined),
});
