import type { LogState, StoredProblem } from '../logs/log-state.js';

/** Attempts after which a job rests as failed. */
export const MAX_ATTEMPTS = 3;

/**
 * Ends of the whole process after which a job rests as failed. A restart or a power cut is no fault of the job, so it
 * costs no attempt; but a job that brings the server down each time must not do so for ever.
 */
export const MAX_INTERRUPTIONS = 50;

/** `waiting` for a person; the others as they say. */
export type JobState = 'queued' | 'running' | 'done' | 'failed' | 'waiting';

/** Work to be done once for each kind and input key. */
export interface NewJob {
  readonly kind: string;
  /** Says what the result depends on; the same key is never queued twice at once. */
  readonly inputKey: string;
  /** The log that the job works on; its state follows the job. */
  readonly logId?: string;
  /** Owner for whom the work is done, for fairness. */
  readonly testerId?: string;
  /** The analysis run that the job collects for; it goes with it. */
  readonly runId?: string;
  /** Done only while nothing waits that somebody waits for. Default false. */
  readonly isBackground?: boolean;
}

export interface Job {
  readonly id: string;
  readonly kind: string;
  readonly inputKey: string;
  readonly logId: string | null;
  readonly testerId: string | null;
  readonly runId: string | null;
  readonly isBackground: boolean;
  readonly state: JobState;
  /** 1 for the first. */
  readonly attempt: number;
  /** 0 to 1. */
  readonly progress: number;
  readonly problem: StoredProblem | null;
  readonly queuedAtMs: number;
}

/** The right to work on a job until it runs out. */
export interface JobLease {
  readonly jobId: string;
  readonly leaseOwner: string;
  readonly attempt: number;
}

export interface JobReads {
  find(jobId: string): Job | undefined;
  /** Whether a job of this kind and input is queued or running. */
  isLive(job: Pick<NewJob, 'kind' | 'inputKey'>): boolean;
  countByState(): Readonly<Record<JobState, number>>;
  /** Whether a job is queued that is no background work. */
  hasUrgent(): boolean;
}

export interface JobWrites {
  /**
   * Queues a job. One that is queued or running already is left as it is; one that ended or waits is queued anew from
   * its first attempt. A log has one live job: another input for the same log replaces the job of before. Background
   * work that is asked for as urgent becomes so.
   */
  enqueue(job: NewJob): { readonly jobId: string; readonly isNew: boolean };
  /**
   * The next job for a worker: background work last; then of the tester with the fewest running, of those the one
   * served longest ago, of those the oldest. A lease that ran out counts as an attempt; after three the job fails. Undefined when there is none.
   */
  claim(input: {
    readonly leaseOwner: string;
    readonly leaseMs: number;
  }): { readonly job: Job; readonly lease: JobLease } | undefined;
  /** Prolongs the lease and notes progress, in the log as well. False when the lease is lost: stop then. */
  heartbeat(input: {
    readonly lease: JobLease;
    readonly leaseMs: number;
    readonly progress: number;
    readonly logState?: Extract<LogState, 'decoding' | 'analysing'>;
  }): boolean;
  /** Ends a job that has no result of its own. Throws `lease_lost`. */
  complete(lease: JobLease): void;
  /**
   * Ends an attempt. With `retry` the job goes back to the queue until its third attempt; else it fails at once. The
   * log, if any, follows (`waiting` or `failed` with the problem). Throws `lease_lost`.
   */
  fail(input: { readonly lease: JobLease; readonly problem: StoredProblem; readonly retry: boolean }): JobState;
  /** Puts a job back into the queue as if it had not been begun. Nothing happens when the lease is lost. */
  giveBack(lease: JobLease): void;
  /** Gives every lease of a stopping worker back without counting the attempt. */
  release(leaseOwner: string): number;
}
