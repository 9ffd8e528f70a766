import { isDeepStrictEqual } from 'node:util';
import { MessageChannel } from 'node:worker_threads';
import type { Store } from '@syncline/store';
import { problem } from '../problem-error.js';
import type { AnalysisOutcome, AnalysisProgress, AnalysisTask } from '../workers/analysis-task.js';
import { analysisJob, regradeJob } from './job-kinds.js';
import type { JobContext, JobHandler } from './job-runner.js';
import type { WorkerPool } from './worker-pool.js';

/**
 * Raise it with every change that makes the same log give other shifts or measures, so that results can be told apart.
 */
const ANALYSIS_VERSION = 1;

/**
 * Decodes and analyses one log on a worker thread, then stores all that was found in one transaction. Until that
 * nothing of the log changes, so that the job may be broken off at any moment and done again.
 */
export function createAnalyseLog(options: {
  readonly store: Store;
  readonly pool: WorkerPool;
  readonly maxUnpackedBytes: number;
}): JobHandler {
  const { store, pool, maxUnpackedBytes } = options;
  return async (context) => {
    const input = store.read.logs.findAnalysisInput(context.job.logId ?? '');
    if (!input) throw new Error(`job ${context.job.id} is about no log`);
    const file = store.signals.newFile(input.logId);
    const folder = store.status().folder;
    const outcome = await runOnWorker(pool, { folder, input, signalPath: file.path, maxUnpackedBytes }, context);
    context.signal.throwIfAborted();
    keepOutcome(store, context, outcome, file.name, input);
  };
}

async function runOnWorker(
  pool: WorkerPool,
  task: Omit<AnalysisTask, 'port'>,
  { signal, report }: JobContext,
): Promise<AnalysisOutcome> {
  const { port1, port2 } = new MessageChannel();
  port1.on('message', ({ progress, logState }: AnalysisProgress) => report(progress, logState));
  try {
    return await pool.analyseLog({ ...task, port: port2 }, signal);
  } finally {
    port1.close();
  }
}

function keepOutcome(
  store: Store,
  { lease }: JobContext,
  outcome: AnalysisOutcome,
  signalFile: string,
  input: AnalysisTask['input'],
): void {
  const { logId, policy, platform } = input;
  switch (outcome.kind) {
    case 'unreadable':
      throw problem(outcome.code, { detail: outcome.detail });
    case 'awaitingMap':
      store.transaction(() => {
        store.logs.awaitMap({ lease, logId, inspection: outcome.inspection, problem: outcome.problem });
        requeueIfMapped(store, input);
      });
      return;
    case 'refused':
    case 'ready': {
      const { kind, signalIds, ...found } = outcome;
      store.logs.replaceAnalysis({
        ...found,
        lease,
        logId,
        state: kind,
        problem: outcome.kind === 'refused' ? outcome.problem : null,
        analysisVersion: ANALYSIS_VERSION,
        policyVersion: policy.version,
        signalFile: { name: signalFile, signalIds },
      });
      regradeIfOutdated(store, platform.id, policy.version);
      return;
    }
    default:
      outcome satisfies never;
  }
}

/** A map that was saved while the log was read has not queued it again: it was not waiting yet. */
function requeueIfMapped(store: Store, { logId, ownerId, signalMap }: AnalysisTask['input']): void {
  const newest = store.read.logs.findAnalysisInput(logId)?.signalMap;
  if (!isDeepStrictEqual(newest, signalMap)) store.jobs.enqueue(analysisJob(logId, ownerId));
}

/** A policy that was made while the log was analysed has missed it. */
function regradeIfOutdated(store: Store, platformId: string, usedVersion: number): void {
  const newest = store.read.platforms.findPolicy(platformId)?.version ?? usedVersion;
  if (newest !== usedVersion) store.jobs.enqueue(regradeJob(platformId, newest));
}
