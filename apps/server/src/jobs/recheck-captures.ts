import { setImmediate as nextTick } from 'node:timers/promises';
import type { Store } from '@syncline/store';
import { checkTraffics } from './check-capture.js';
import { platformOfRecheckJob } from './job-kinds.js';
import type { JobHandler } from './job-runner.js';

/**
 * Holds the newest capture of every car of a platform against the profiles that its dialects have now, one transaction
 * for each with room for requests between. Older captures keep what was said of them. Done twice it leaves the same.
 */
export function createRecheckCaptures({ read, captures, jobs }: Store): JobHandler {
  return async ({ job, lease, signal, report }) => {
    const platformId = platformOfRecheckJob(job);
    const platform = read.platforms.find(platformId)?.platform;
    const logIds = platform ? read.captures.listNewest(platformId) : [];
    for (const [i, logId] of logIds.entries()) {
      signal.throwIfAborted();
      const capture = read.captures.findLearnable(logId);
      if (capture && platform) {
        captures.recheck({
          logId,
          check: checkTraffics(capture.traffics, platform, read.dialects.listProfiles(platformId)),
        });
      }
      report((i + 1) / logIds.length);
      await nextTick();
    }
    jobs.complete(lease);
  };
}
