import { z } from 'zod';

/** View of the page of a gearbox: the dialect that is open; the first one when left out. */
export const platformSearch = z.object({ dialect: z.string().optional().catch(undefined) });
