import { and, eq, sql } from 'drizzle-orm';
import type { WriteContext } from '../database/context.js';
import type { StoredProblem } from '../logs/log-state.js';
import { problemColumns, setLogState } from '../logs/set-log-state.js';
import { jobs } from '../schema/jobs.js';
import { StoreError } from '../store-error.js';
import { type JobLease, type JobState, MAX_ATTEMPTS } from './jobs.js';

/** The job is still in the hands of this very attempt. */
export function isHeldBy(lease: JobLease) {
  return and(
    eq(jobs.id, lease.jobId),
    eq(jobs.state, 'running'),
    eq(jobs.leaseOwner, lease.leaseOwner),
    eq(jobs.attempt, lease.attempt),
  );
}

/** Takes a job out of its worker's hands. Throws `lease_lost`, so that the transaction around it keeps nothing. */
export function endJob(
  { db, clock }: WriteContext,
  lease: JobLease,
  to: { readonly state: Exclude<JobState, 'running'>; readonly problem?: StoredProblem | null },
): void {
  const { changes } = db
    .update(jobs)
    .set({
      state: to.state,
      leaseOwner: null,
      leaseExpiresAtMs: null,
      endedAtMs: to.state === 'queued' ? null : clock(),
      progress: to.state === 'done' ? 1 : 0,
      ...problemColumns(to.problem ?? null),
    })
    .where(isHeldBy(lease))
    .run();
  if (changes === 0) {
    throw new StoreError(
      'lease_lost',
      `Job ${lease.jobId} is no longer held by ${lease.leaseOwner}, attempt ${lease.attempt}.`,
    );
  }
}

/** Puts a job back into the queue as if this attempt had not been. The log follows. */
export function returnLease(context: WriteContext, lease: JobLease): void {
  const { logId } = context.db
    .update(jobs)
    .set({ state: 'queued', attempt: sql`${jobs.attempt} - 1`, progress: 0, leaseOwner: null, leaseExpiresAtMs: null })
    .where(isHeldBy(lease))
    .returning({ logId: jobs.logId })
    .get();
  if (logId) setLogState(context, logId, { state: 'waiting', progress: 0 });
}

/** Ends an attempt that came to nothing: back to the queue, or failed for good. The log follows. */
export function failAttempt(
  context: WriteContext,
  lease: JobLease,
  { problem, retry }: { readonly problem: StoredProblem; readonly retry: boolean },
): JobState {
  const state = retry && lease.attempt < MAX_ATTEMPTS ? 'queued' : 'failed';
  endJob(context, lease, { state, problem });
  const logId = context.db.select({ logId: jobs.logId }).from(jobs).where(eq(jobs.id, lease.jobId)).get()?.logId;
  if (logId) {
    const to = state === 'queued' ? { state: 'waiting' as const } : { state: 'failed' as const, problem };
    setLogState(context, logId, { progress: 0, ...to });
  }
  return state;
}
