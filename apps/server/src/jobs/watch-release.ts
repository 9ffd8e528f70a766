import type { NewJob, Store } from '@syncline/store';
import { WATCH_RELEASE } from './job-kinds.js';
import type { JobHandler } from './job-runner.js';

/** A look of the monitor at a release. Several results that come in before it are looked at together. */
export function watchJob(releaseId: string): NewJob {
  return { kind: WATCH_RELEASE, inputKey: releaseId };
}

/** Queues a look at each release that the result of a log may tell something of. */
export function enqueueWatches({ read, jobs }: Store, logId: string): void {
  const watched = read.releases.listWatched();
  if (watched.length === 0) return;
  const revisionId = read.logs.find({}, logId)?.revision?.id;
  for (const { id, revision, replaces } of watched) {
    if (revisionId === revision.id || revisionId === replaces?.id) jobs.enqueue(watchJob(id));
  }
}

/** Looks at what came in for a release. Done twice it leaves the same. */
export function createWatchRelease(
  { jobs }: Store,
  watch: (releaseId: string, signal: AbortSignal) => Promise<void>,
): JobHandler {
  return async ({ job, lease, signal }) => {
    await watch(job.inputKey, signal);
    jobs.complete(lease);
  };
}
