import { setImmediate as nextTick } from 'node:timers/promises';
import type { Store } from '@syncline/store';
import { assessShift } from './assess-shift.js';
import { platformOfRegradeJob } from './job-kinds.js';
import type { JobHandler } from './job-runner.js';

/** Logs that are looked up at once. */
const BATCH_LOGS = 50;

/**
 * Grades every stored shift of a platform by its newest policy, one transaction for each log with room for requests
 * between. Measures are not taken anew. Done twice it leaves the same behind.
 */
export function createRegradePlatform(store: Store): JobHandler {
  return async ({ job, lease, signal, report }) => {
    const platformId = platformOfRegradeJob(job.inputKey);
    let afterId: string | null = null;
    do {
      const logIds = store.read.logs.listReadyIds(platformId, afterId, BATCH_LOGS);
      for (const logId of logIds) {
        signal.throwIfAborted();
        regradeLog(store, logId);
        report(0);
        await nextTick();
      }
      afterId = logIds.at(-1) ?? null;
    } while (afterId !== null);
    store.jobs.complete(lease);
  };
}

function regradeLog(store: Store, logId: string): void {
  const input = store.read.logs.findAnalysisInput(logId);
  if (!input) return;
  const { car, policy } = input;
  store.shifts.regrade({
    logId,
    policyVersion: policy.version,
    shifts: store.read.shifts
      .ofLog(logId)
      .map(({ id, shift, program }) => ({ id, ...assessShift(shift, car, policy, program) })),
  });
}
