import { checkLayout, type Layout, type Platform } from '@syncline/calibration';
import type { Finding } from '@syncline/contract';
import { DEFAULT_POLICY, type GradingPolicy } from '@syncline/shifts';
import type { Page, PageRequest, PlatformDetail, PlatformSummary, Store } from '@syncline/store';
import { notFound, problem } from '../problem-error.js';
import type { Actor } from './actor.js';
import { checkPlatform } from './check-platform.js';
import { checkPolicy } from './check-policy.js';
import { isBlocked, toFindings } from './findings.js';
import type { ReanalysisService } from './reanalysis.js';

export type PlatformService = ReturnType<typeof createPlatformService>;

/** Gearboxes with their layouts and grading policies. */
export function createPlatformService(store: Store, reanalysis: ReanalysisService) {
  const { platforms } = store.read;

  function get(platformId: string): PlatformDetail {
    const detail = platforms.find(platformId);
    if (!detail) throw notFound('platform');
    return detail;
  }

  return {
    get,

    list: (page: PageRequest): Page<PlatformSummary> => platforms.list(page),

    create(actor: Actor, platform: Platform): PlatformDetail {
      const findings = checkPlatform(platform);
      if (isBlocked(findings)) throw problem('platform.invalid', { findings });
      const { version: _, ...policy } = DEFAULT_POLICY;
      store.platforms.create({ actor, platform, policy });
      return get(platform.id);
    },

    getLayout(platformId: string, version: number): { layout: Layout; findings: Finding[] } {
      const layout = platforms.findLayout(platformId, version);
      if (!layout) throw notFound('layout');
      return { layout, findings: toFindings(checkLayout(layout, get(platformId).platform)) };
    },

    addLayout(actor: Actor, platformId: string, layout: Layout): { layout: Layout; findings: Finding[] } {
      const findings = toFindings(checkLayout(layout, get(platformId).platform));
      if (isBlocked(findings)) throw problem('layout.invalid', { findings });
      store.platforms.addLayout({ actor, layout });
      return { layout, findings };
    },

    /** The next version. It comes into force when a maintainer switches to the run that grades every shift by it. */
    addPolicy(actor: Actor, platformId: string, policy: Omit<GradingPolicy, 'version'>): GradingPolicy {
      const findings = checkPolicy(policy, get(platformId).platform);
      if (isBlocked(findings)) throw problem('policy.invalid', { findings });
      return store.transaction(() => {
        const added = store.platforms.addPolicy({ actor, platformId, policy });
        reanalysis.beginForPolicy(actor, platformId, added.version);
        return added;
      });
    },
  };
}
