import { z } from 'zod';

/** View of the Analysis page: the run that is looked at; the open one when left out. */
export const analysisSearch = z.object({ run: z.string().optional() });
