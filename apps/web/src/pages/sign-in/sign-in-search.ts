import { z } from 'zod';

/** Where to go after sign-in: a path of ours. Anything that could lead to another site is dropped. */
export const signInSearch = z.object({
  to: z
    .string()
    .regex(/^\/(?![/\\])/)
    .optional()
    .catch(undefined),
});
