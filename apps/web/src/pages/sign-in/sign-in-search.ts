import { localPath } from '@syncline/contract';
import { z } from 'zod';

/** Where to go after sign-in: a path of ours. Anything that could lead to another site is dropped. */
export const signInSearch = z.object({
  to: localPath.optional().catch(undefined),
  /** Back from a provider: the code of the second factor is still to come. */
  step: z.literal('code').optional().catch(undefined),
  /** Back from a provider: code of what went wrong. */
  problem: z.string().max(60).optional().catch(undefined),
});
