import { rm } from 'node:fs/promises';
import { MessageChannel } from 'node:worker_threads';
import type { AnalysisInput, Store } from '@syncline/store';
import type { OriginalFile } from '@syncline/store/files';
import type { AnalysisOutcome, AnalysisProgress, DialectKnowledge } from '../workers/analysis-task.js';
import { checkTraffics } from './check-capture.js';
import type { JobContext } from './job-runner.js';
import type { WorkerPool } from './worker-pool.js';

export interface AnalysisSetup {
  readonly store: Store;
  readonly pool: Pick<WorkerPool, 'analyseLog'>;
  /** A file that unpacks to more is refused. */
  readonly maxUnpackedBytes: number;
  /** Free space that unpacking must leave. */
  readonly minFreeBytes: number;
}

/**
 * Decodes and analyses one log on a worker thread and has the outcome kept. What is on disk meanwhile, packs of the
 * outcome too, is gone afterwards, however it ends. How the bus of a capture was spoken is kept at once: that holds
 * whatever becomes of its samples.
 */
export async function runAnalysis(
  setup: AnalysisSetup,
  { input, signalPath }: { readonly input: AnalysisInput; readonly signalPath: string },
  { signal, report }: Pick<JobContext, 'signal' | 'report'>,
  keep: (outcome: AnalysisOutcome) => void,
): Promise<void> {
  const { store, pool, maxUnpackedBytes, minFreeBytes } = setup;
  const { port1, port2 } = new MessageChannel();
  port1.on('message', ({ progress, logState }: AnalysisProgress) => report(progress, logState));
  const scratchFolder = store.blobs.scratchFolder();
  let plain: OriginalFile | undefined;
  try {
    plain = store.blobs.takePlain(input);
    const { folder } = store.status();
    const original = store.blobs.locate(input.sha256);
    const file = plain ?? original;
    const dialects = dialectsOf(store, input);
    const limits = { maxUnpackedBytes, minFreeBytes };
    const task = { folder, input, file, dialects, signalPath, scratchFolder, ...limits, port: port2 };
    const outcome = await pool.analyseLog(task, signal);
    signal.throwIfAborted();
    if (outcome.traffics !== null) {
      const { platform, logId } = input;
      const check = checkTraffics(outcome.traffics, platform, store.read.dialects.listProfiles(platform.id));
      store.captures.keep({ logId, traffics: outcome.traffics, check });
    }
    keep(outcome);
  } finally {
    port1.close();
    // One that cannot be removed is left to the next start; what was found is kept already.
    if (plain !== undefined) await rm(plain.path, { force: true }).catch(() => undefined);
    await rm(scratchFolder, { recursive: true, force: true });
  }
}

function dialectsOf({ read: { dialects } }: Store, { platform, signalLists }: AnalysisInput): DialectKnowledge {
  return {
    profiles: dialects.listProfiles(platform.id),
    signalLists: Object.fromEntries(
      Object.keys(signalLists).map((dialectId) => [dialectId, dialects.findSignalList(platform.id, dialectId)]),
    ),
  };
}
