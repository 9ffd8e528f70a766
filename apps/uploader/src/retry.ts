import { setTimeout as sleep } from 'node:timers/promises';
import { Unreachable } from './server-api.js';

const FIRST_WAIT_MS = 500;
const LONGEST_WAIT_MS = 30_000;

/** Repeats `work` while the server cannot be reached, waiting twice as long each time, until `giveUpMs` have passed. */
export async function retry<T>(
  work: () => Promise<T>,
  options: { readonly giveUpMs: number; readonly signal: AbortSignal; readonly onWait: (error: Unreachable) => void },
): Promise<T> {
  const startedAtMs = performance.now();
  for (let waitMs = FIRST_WAIT_MS; ; waitMs = Math.min(2 * waitMs, LONGEST_WAIT_MS)) {
    try {
      return await work();
    } catch (error) {
      options.signal.throwIfAborted();
      if (!(error instanceof Unreachable) || performance.now() - startedAtMs >= options.giveUpMs) throw error;
      options.onWait(error);
      await sleep(waitMs, undefined, { signal: options.signal });
    }
  }
}
