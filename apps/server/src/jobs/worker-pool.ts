import { fileURLToPath } from 'node:url';
import { setFlagsFromString } from 'node:v8';
import type { FastifyBaseLogger } from 'fastify';
import { Piscina } from 'piscina';
import { type AnalysisOutcome, type AnalysisTask, isLong } from '../workers/analysis-task.js';
import type {
  DraftPreviewOutcome,
  DraftPreviewTask,
  PreviewOutcome,
  PreviewTask,
} from '../workers/proposals/preview-task.js';
import type { ProposalOutcome, ProposalTask } from '../workers/proposals/proposal-task.js';

/** Threads for decoding, analysis and proposals, as many as there are tasks. One that dies fails its task only. */
export interface WorkerPool {
  /** Has a thread ready for a log that is about to come: to start one takes a quarter of a second. */
  standBy(): void;
  analyseLog(task: AnalysisTask, signal: AbortSignal): Promise<AnalysisOutcome>;
  makeProposal(task: ProposalTask, signal: AbortSignal): Promise<ProposalOutcome>;
  previewProposal(task: PreviewTask, signal: AbortSignal): Promise<PreviewOutcome>;
  previewDraft(task: DraftPreviewTask, signal: AbortSignal): Promise<DraftPreviewOutcome>;
  /** What the last thread said that failed by itself, until a task ends well again; undefined while all is well. */
  fault(): string | undefined;
  close(): Promise<void>;
}

/** Workers run compiled code only, whether this file was compiled or is read by the tests. */
const workerFile = (name: string) => fileURLToPath(new URL(`../../dist/workers/${name}.js`, import.meta.url));
const ANALYSIS_FILE = workerFile('analyse-log');
const PROPOSAL_FILE = workerFile('proposals/make-proposal');
const PREVIEW_FILE = workerFile('proposals/preview-proposal');
const DRAFT_PREVIEW_FILE = workerFile('proposals/preview-draft');
const IDLE_MS = 30_000;
/** Room for new objects (MiB). What a thread makes is short-lived; the usual 48 are filled before the collector begins. */
const YOUNG_MIB = 12;
/**
 * How much bytecode a function runs before it is compiled anew; V8 takes 67,584. What runs once for each shift of a drive is
 * then left as it is, which spares a tenth of a job's processor. Later versions than that of Node 20 count calls instead.
 */
const COMPILED_AFTER_BYTES = 400_000;
if (process.versions.node.startsWith('20.')) setFlagsFromString(`--interrupt-budget=${COMPILED_AFTER_BYTES}`);

type RunOptions = Parameters<Piscina['run']>[1];

export function createWorkerPool(log: FastifyBaseLogger): WorkerPool {
  // A pool of one each: which thread has done a task is then known, and it alone can be ended.
  const idle: Piscina[] = [];
  const busy = new Set<Piscina>();
  let fault: string | undefined;

  function newThread(): Piscina {
    const thread = new Piscina({
      filename: ANALYSIS_FILE,
      minThreads: 0,
      maxThreads: 1,
      idleTimeout: IDLE_MS,
      resourceLimits: { maxYoungGenerationSizeMb: YOUNG_MIB },
    });
    // A thread that breaks while it has nothing to do concerns no job.
    thread.on('error', (err) => {
      fault = err instanceof Error ? err.message : String(err);
      log.error({ event: 'worker.failed', err });
    });
    return thread;
  }

  async function run(task: unknown, options: RunOptions, isLast = false) {
    const thread = idle.pop() ?? newThread();
    busy.add(thread);
    try {
      const result = await thread.run(task, options);
      fault = undefined;
      return result;
    } finally {
      busy.delete(thread);
      if (isLast) await thread.destroy();
      else idle.push(thread);
    }
  }

  return {
    standBy() {
      if (idle.some(({ threads }) => threads.length > 0)) return;
      const thread = idle.at(-1) ?? newThread();
      if (idle.length === 0) idle.push(thread);
      // What keeps a thread from starting is told by `error`, and by the first task.
      thread.run(undefined, { name: 'standBy' }).catch(() => undefined);
    },
    // What a long log leaves in a thread is memory that its results, which are stored next, have use for.
    analyseLog: (task, signal) =>
      run(task, { name: 'analyseLog', transferList: [task.port], signal }, isLong(task.input)),
    makeProposal: (task, signal) =>
      run(task, { name: 'makeProposal', filename: PROPOSAL_FILE, transferList: [task.port], signal }),
    previewProposal: (task, signal) => run(task, { name: 'previewProposal', filename: PREVIEW_FILE, signal }),
    previewDraft: (task, signal) => run(task, { name: 'previewDraft', filename: DRAFT_PREVIEW_FILE, signal }),
    fault: () => fault,
    close: async () => void (await Promise.all([...idle, ...busy].map((thread) => thread.destroy()))),
  };
}
