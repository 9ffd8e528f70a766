import { APPLICATION_STATES } from '@syncline/contract';
import { z } from 'zod';

/** View of the Recruitment page: which profiles and which applications are listed. */
export const recruitmentSearch = z.object({
  profiles: z.enum(['lacking', 'all']).optional().catch(undefined),
  state: z.enum(APPLICATION_STATES).optional().catch(undefined),
  platform: z.string().optional().catch(undefined),
});
export type RecruitmentSearch = z.infer<typeof recruitmentSearch>;
