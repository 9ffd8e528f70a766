import { REQUEST_STATES } from '@syncline/contract';
import { z } from 'zod';

/** View of the Requests page: what the gaps are of, which of them are being asked for, which requests are listed. */
export const requestsSearch = z.object({
  platform: z.string().optional().catch(undefined),
  revision: z.string().optional().catch(undefined),
  program: z.string().optional().catch(undefined),
  state: z
    .enum([...REQUEST_STATES, 'all'])
    .optional()
    .catch(undefined),
  /** Points in `pointKey`, with commas between. */
  ask: z.string().optional().catch(undefined),
});
export type RequestsSearch = z.infer<typeof requestsSearch>;
