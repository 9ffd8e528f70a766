import { setImmediate as nextTick } from 'node:timers/promises';
import type { Store, Actor as StoreActor } from '@syncline/store';
import type { FastifyBaseLogger } from 'fastify';
import type { Services } from '../services/services.js';

const EVERY_MS = 6 * 3600_000;
/** Logs whose results in an ended run are removed in one transaction. */
const SWEPT_LOGS = 20;
/** Originals that are removed in one transaction. */
const REMOVED_ORIGINALS = 50;
const DAY_MS = 24 * 3600_000;
const SERVER: StoreActor = { kind: 'system', id: null, name: 'the server', requestId: 'housekeeping' };

/**
 * Now and every few hours finishes uploads that an end of the process broke off, ends drive requests that are met or
 * have run out, takes cars into releases that joined their cohorts, proposes from new evidence, and removes what no one refers to any more or was to be kept for a while only. Returns how to stop it; that waits for what is under way.
 */
export function startHousekeeping(
  store: Store,
  {
    resumable,
    requests,
    applications,
    releases,
    proposals,
  }: Pick<Services, 'resumable' | 'requests' | 'applications' | 'releases' | 'proposals'>,
  options: { readonly log: FastifyBaseLogger; readonly clock: () => number; readonly keepOriginalsDays: number },
): () => Promise<void> {
  const { log } = options;
  const stopping = new AbortController();
  const tidy = async () => {
    try {
      const finishedUploads = await resumable.finishWhole(stopping.signal, (uploadId, err) =>
        log.error({ event: 'upload.unfinished', uploadId, err }),
      );
      const forgottenUploads = store.uploads.sweep();
      const forgottenReplies = store.idempotency.sweep();
      const forgottenResults = await sweepRuns(store, stopping.signal);
      const endedRequests = requests.settle();
      releases.settle();
      const forgottenApplications = applications.sweep();
      const askedProposals = proposals.proposeNightly();
      const removedOriginals = await removeOldOriginals(store, options, stopping.signal);
      const { removed } = await store.blobs.sweep();
      log.info({
        event: 'housekeeping.done',
        finishedUploads,
        forgottenUploads,
        forgottenReplies,
        forgottenResults,
        endedRequests,
        askedProposals,
        forgottenApplications,
        removedOriginals,
        removedFiles: removed.length,
      });
    } catch (error) {
      log.error({ event: 'housekeeping.failed', err: error });
    }
  };
  let running = tidy();
  const timer = setInterval(() => {
    running = running.then(tidy);
  }, EVERY_MS);
  return () => {
    clearInterval(timer);
    stopping.abort();
    return running;
  };
}

/** Where originals are kept for a while only, removes those whose time is over, with room for requests between. */
async function removeOldOriginals(
  store: Store,
  { clock, keepOriginalsDays }: { readonly clock: () => number; readonly keepOriginalsDays: number },
  stopping: AbortSignal,
): Promise<number> {
  if (keepOriginalsDays === 0) return 0;
  const beforeMs = clock() - keepOriginalsDays * DAY_MS;
  let total = 0;
  while (!stopping.aborted) {
    const files = store.logs.removeOriginals({ actor: SERVER, beforeMs, limit: REMOVED_ORIGINALS });
    if (files.length === 0) break;
    store.blobs.removeFiles(files);
    total += files.length;
    await nextTick();
  }
  return total;
}

/** Removes results of runs that were switched to or discarded, with room for requests between. Returns of how many logs. */
async function sweepRuns(store: Store, stopping: AbortSignal): Promise<number> {
  let total = 0;
  while (!stopping.aborted) {
    const count = store.analysisRuns.sweep(SWEPT_LOGS);
    if (count === 0) break;
    total += count;
    await nextTick();
  }
  return total;
}
