import { z } from 'zod';

/** View of the Analysis page: the run that is looked at; the open one when left out. */
export const analysisSearch = z.object({ run: z.string().optional() });

/** View of a log under a run: the shifts that differ, or all. */
export const analysedLogSearch = z.object({ show: z.literal('all').optional() });
