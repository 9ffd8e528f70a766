import { RELEASE_STATES } from '@syncline/contract';
import { z } from 'zod';

export const releasesSearch = z.object({
  platform: z.string().optional().catch(undefined),
  state: z.enum(RELEASE_STATES).optional().catch(undefined),
});
export type ReleasesSearch = z.infer<typeof releasesSearch>;

export const newReleaseSearch = z.object({
  revision: z.string().optional().catch(undefined),
  replaces: z.string().optional().catch(undefined),
});

export const releaseSearch = z.object({
  /** Measure and load band that the monitor shows, e.g. `flare` or `harsh.3`. */
  part: z.string().optional().catch(undefined),
});
