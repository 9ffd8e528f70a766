import { z } from 'zod';

/** Page of the audit trail: the cursor that opens it, and its number. */
export const peopleSearch = z.object({
  audit: z.string().optional().catch(undefined),
  auditPage: z.coerce.number().int().min(1).optional().catch(undefined),
});
