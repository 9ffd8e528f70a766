import { z } from 'zod';

/** View of the Reviews page: the state of the reviews that are listed; open ones when left out. */
export const reviewsSearch = z.object({
  state: z.enum(['open', 'approved', 'sentBack', 'withdrawn']).optional().catch(undefined),
});
