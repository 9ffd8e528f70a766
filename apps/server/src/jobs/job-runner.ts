import { PROBLEMS } from '@syncline/contract';
import type { Job, JobLease, LogState, Store } from '@syncline/store';
import { StoreError } from '@syncline/store';
import type { FastifyBaseLogger } from 'fastify';
import type { JobEnd } from '../plugins/metrics.js';
import { ProblemError } from '../problem-error.js';

/** A job ran out of its lease is taken for lost by the next process; a living one prolongs it three times as often. */
const LEASE_MS = 60_000;
const HEARTBEAT_MS = LEASE_MS / 3;
/** Progress is written at most this often for each job. */
const PROGRESS_EVERY_MS = 500;
/** Jobs that no one nudged for: queued by another process, or left by one. */
const POLL_MS = 5_000;

/** What a running job may use. */
export interface JobContext {
  readonly job: Job;
  readonly lease: JobLease;
  /** Aborted when the server stops or the lease was lost: end soon and write nothing. */
  readonly signal: AbortSignal;
  /** Notes how far the work is, 0 to 1. */
  readonly report: (progress: number, logState?: Extract<LogState, 'decoding' | 'analysing'>) => void;
}

/**
 * Work of one kind. It is done at least once and must leave the same behind when it is done twice. It ends its lease
 * itself (`complete`, or a result of the store). It throws a ProblemError for what no repetition mends.
 */
export type JobHandler = (context: JobContext) => Promise<void>;

export interface JobRunner {
  start(): void;
  /** Says that there may be a new job. */
  nudge(): void;
  /** Resolves when nothing is queued or running. */
  idle(): Promise<void>;
  /** Ends what is running and gives it back to the queue. */
  stop(): Promise<void>;
}

/** Takes jobs from the store and runs up to `concurrency` of them at once. */
export function createJobRunner(options: {
  readonly store: Store;
  readonly handlers: Readonly<Record<string, JobHandler>>;
  readonly leaseOwner: string;
  readonly concurrency: number;
  readonly log: FastifyBaseLogger;
  /** Told of every attempt that ended, and how long it took. */
  readonly onEnd?: (end: JobEnd) => void;
}): JobRunner {
  return new Runner(options);
}

interface RunningJob {
  readonly work: Promise<void>;
  readonly isBackground: boolean;
  /** Aborted, it breaks off and goes back into the queue. */
  readonly parking: AbortController;
}

class Runner implements JobRunner {
  private readonly running = new Set<RunningJob>();
  private readonly stopping = new AbortController();
  private readonly options: Parameters<typeof createJobRunner>[0];
  private poll: NodeJS.Timeout | undefined;
  private idleWaiters: (() => void)[] = [];

  constructor(options: Parameters<typeof createJobRunner>[0]) {
    this.options = options;
  }

  start(): void {
    this.poll = setInterval(() => this.fill(), POLL_MS);
    this.fill();
  }

  nudge(): void {
    // After the transaction that queued the job, which may still be open now.
    setImmediate(() => this.fill());
  }

  idle(): Promise<void> {
    return new Promise((resolve) => {
      this.idleWaiters.push(resolve);
      this.nudge();
    });
  }

  async stop(): Promise<void> {
    clearInterval(this.poll);
    this.stopping.abort();
    await Promise.all([...this.running].map(({ work }) => work));
    this.options.store.jobs.release(this.options.leaseOwner);
  }

  private fill(): void {
    const { store, concurrency, leaseOwner } = this.options;
    while (this.poll !== undefined && !this.stopping.signal.aborted && this.running.size < concurrency) {
      const claimed = store.jobs.claim({ leaseOwner, leaseMs: LEASE_MS });
      if (!claimed) break;
      const { job, lease } = claimed;
      const parking = new AbortController();
      const work = this.run(job, lease, parking.signal).finally(() => {
        this.running.delete(entry);
        this.fill();
      });
      const entry: RunningJob = { work, isBackground: job.isBackground, parking };
      this.running.add(entry);
    }
    this.makeRoom();
    if (this.running.size === 0) for (const resolve of this.idleWaiters.splice(0)) resolve();
  }

  /** Background work gives its place up to work that somebody waits for; it is done again later, from its beginning. */
  private makeRoom(): void {
    const { store, concurrency } = this.options;
    if (this.stopping.signal.aborted || this.running.size < concurrency) return;
    const background = [...this.running].filter(({ isBackground }) => isBackground);
    const isMakingRoom = background.some(({ parking }) => parking.signal.aborted);
    const youngest = background.at(-1);
    if (youngest && !isMakingRoom && store.read.jobs.hasUrgent()) youngest.parking.abort();
  }

  private async run(job: Job, lease: JobLease, parked: AbortSignal): Promise<void> {
    const { handlers, log } = this.options;
    const handler = handlers[job.kind];
    const pulse = new LeasePulse(this.options.store, lease, AbortSignal.any([this.stopping.signal, parked]));
    const beganAt = performance.now();
    let outcome: JobEnd['outcome'] = 'done';
    log.info({ event: 'job.start', jobId: job.id, kind: job.kind, logId: job.logId, attempt: job.attempt });
    try {
      if (!handler) throw new Error(`there is no handler for jobs of kind '${job.kind}'`);
      await handler({ job, lease, signal: pulse.signal, report: pulse.report });
      log.info({ event: 'job.done', jobId: job.id, kind: job.kind, logId: job.logId });
    } catch (error) {
      outcome = this.onFailure(job, lease, error, pulse.signal.aborted);
      if (parked.aborted) this.options.store.jobs.giveBack(lease);
    } finally {
      pulse.end();
      this.options.onEnd?.({ kind: job.kind, outcome, seconds: (performance.now() - beganAt) / 1000 });
    }
  }

  private onFailure(job: Job, lease: JobLease, error: unknown, wasAborted: boolean): JobEnd['outcome'] {
    const { store, log } = this.options;
    const context = { jobId: job.id, kind: job.kind, logId: job.logId, attempt: job.attempt };
    if (wasAborted || isLeaseLost(error)) {
      log.info({ event: 'job.parked', ...context });
      return 'parked';
    }
    const isExpected = error instanceof ProblemError;
    const code = isExpected ? error.code : 'server.fault';
    const detail = isExpected ? error.message : 'The analysis broke off.';
    const state = store.jobs.fail({
      lease,
      problem: { code, detail, remedy: PROBLEMS[code].remedy },
      retry: !isExpected,
    });
    if (isExpected) log.info({ event: 'job.refused', ...context, code, detail });
    else log[state === 'failed' ? 'error' : 'warn']({ event: 'job.failed', ...context, state, err: error });
    return isExpected ? 'refused' : 'failed';
  }
}

/** Keeps a lease alive while its job runs, and aborts the job when the lease is lost or the server stops. */
class LeasePulse {
  private readonly lost = new AbortController();
  readonly signal: AbortSignal;
  private readonly timer: NodeJS.Timeout;
  private readonly store: Store;
  private readonly lease: JobLease;
  private progress = 0;
  private logState: Parameters<JobContext['report']>[1];
  /** Most jobs are done before their progress is due: a write that everybody waits for is spared. */
  private writtenAt = performance.now();

  constructor(store: Store, lease: JobLease, stopping: AbortSignal) {
    this.store = store;
    this.lease = lease;
    this.signal = AbortSignal.any([this.lost.signal, stopping]);
    this.timer = setInterval(() => this.beat(), HEARTBEAT_MS);
  }

  readonly report: JobContext['report'] = (progress, logState) => {
    this.progress = progress;
    this.logState = logState ?? this.logState;
    if (performance.now() - this.writtenAt >= PROGRESS_EVERY_MS) this.beat();
  };

  end(): void {
    clearInterval(this.timer);
  }

  private beat(): void {
    if (this.signal.aborted) return;
    this.writtenAt = performance.now();
    const { lease, progress, logState } = this;
    if (!this.store.jobs.heartbeat({ lease, leaseMs: LEASE_MS, progress, logState })) this.lost.abort();
  }
}

function isLeaseLost(error: unknown): boolean {
  return error instanceof StoreError && error.code === 'lease_lost';
}
