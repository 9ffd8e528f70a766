import { z } from 'zod';

const text = z.string().optional().catch(undefined);

/** View of the Merge page: the revision that is merged into, and the one that is merged. */
export const mergeSearch = z.object({ ours: text, theirs: text });
