import { setImmediate as nextTick } from 'node:timers/promises';
import type { FleetReads } from '@syncline/store';

/** Brings the fleet's summaries into memory between requests. Returns what stops it. */
export function startWarmUp(fleet: FleetReads): () => Promise<void> {
  let isStopping = false;
  const run = async () => {
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
