import { fileURLToPath } from 'node:url';
import type { FastifyBaseLogger } from 'fastify';
import { Piscina } from 'piscina';
import type { AnalysisOutcome, AnalysisTask } from '../workers/analysis-task.js';

/** Threads for decoding and analysis. One that dies fails its task and is replaced. */
export interface WorkerPool {
  analyseLog(task: AnalysisTask, signal: AbortSignal): Promise<AnalysisOutcome>;
  close(): Promise<void>;
}

/** Workers run compiled code only, whether this file was compiled or is read by the tests. */
const WORKER_FILE = fileURLToPath(new URL('../../dist/workers/analyse-log.js', import.meta.url));
const IDLE_MS = 30_000;

export function createWorkerPool(threadCount: number, log: FastifyBaseLogger): WorkerPool {
  const pool = new Piscina({
    filename: WORKER_FILE,
    minThreads: 0,
    maxThreads: threadCount,
    idleTimeout: IDLE_MS,
  });
  // A thread that breaks while it has nothing to do concerns no job.
  pool.on('error', (err) => log.error({ event: 'worker.failed', err }));
  return {
    analyseLog: (task, signal) => pool.run(task, { name: 'analyseLog', transferList: [task.port], signal }),
    close: () => pool.destroy(),
  };
}
