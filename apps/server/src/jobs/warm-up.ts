import { setImmediate as nextTick } from 'node:timers/promises';
import type { FleetReads } from '@syncline/store';
import type { FleetQueryPool } from '../services/fleet-queries/queries.js';

/**
 * Brings the fleet's summaries into memory: first those of the thread that answers the fleet pages, then, between
 * requests, those that other pages read here. Returns what stops it.
 */
export function startWarmUp(fleet: FleetReads, queries: FleetQueryPool): () => Promise<void> {
  let isStopping = false;
  const run = async () => {
    if (!fleet.hasSummaries()) return;
    await queries.ask('warmUp', {});
    for (const _ of fleet.warmUp()) {
      await nextTick();
      if (isStopping) return;
    }
  };
  // What cannot be read here fails where it is asked for, with a request that can be told.
  const done = run().catch(() => undefined);
  return async () => {
    isStopping = true;
    await done;
  };
}
