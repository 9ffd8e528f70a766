import { and, asc, eq, lte, type SQL, sql } from 'drizzle-orm';
import type { WriteContext } from '../database/context.js';
import type { StoredProblem } from '../logs/log-state.js';
import { jobs } from '../schema/jobs.js';
import { failAttempt, isHeldBy, returnLease } from './end-job.js';
import { toJob } from './job-reads.js';
import { type Job, type JobLease, MAX_INTERRUPTIONS } from './jobs.js';

/** What a log shows whose worker died again and again. */
const LOST_WORKER: StoredProblem = {
  code: 'server.fault',
  detail: 'The work on this stopped before its end, time after time.',
  remedy: 'Try it again; report it if it stays.',
};

/** Leases whose worker has let them run out while the process lives. Each has cost an attempt. */
function giveBackExpiredLeases(context: WriteContext): void {
  const expired = lte(jobs.leaseExpiresAtMs, context.clock());
  for (const lease of heldLeases(context, expired)) failAttempt(context, lease, { problem: LOST_WORKER, retry: true });
}

/** All leases at start, when no worker of before can be alive: the attempt is given back, the interruption counted. */
export function giveBackInterrupted(context: WriteContext): number {
  const leases = heldLeases(context);
  for (const lease of leases) {
    const { interruptions } = context.db
      .update(jobs)
      .set({ interruptions: sql`${jobs.interruptions} + 1` })
      .where(isHeldBy(lease))
      .returning({ interruptions: jobs.interruptions })
      .get();
    if (interruptions < MAX_INTERRUPTIONS) returnLease(context, lease);
    else failAttempt(context, lease, { problem: LOST_WORKER, retry: false });
  }
  return leases.length;
}

/** The leases of running jobs, all or some. */
export function heldLeases({ db }: WriteContext, which?: SQL): JobLease[] {
  const rows = db
    .select({ jobId: jobs.id, leaseOwner: jobs.leaseOwner, attempt: jobs.attempt })
    .from(jobs)
    .where(and(eq(jobs.state, 'running'), which))
    .all();
  return rows.map(({ jobId, leaseOwner, attempt }) => ({ jobId, leaseOwner: leaseOwner ?? '', attempt }));
}

/** The next job in fair order, now running; see `JobWrites.claim`. Part of a larger transaction. */
export function claimJob(
  context: WriteContext,
  { leaseOwner, leaseMs }: { readonly leaseOwner: string; readonly leaseMs: number },
): { job: Job; lease: JobLease } | undefined {
  const { db, clock } = context;
  giveBackExpiredLeases(context);
  const tester = findTesterToServe(context);
  if (!tester) return undefined;
  const next = db
    .select({ id: jobs.id })
    .from(jobs)
    .where(
      and(eq(jobs.state, 'queued'), eq(jobs.priority, tester.priority), sql`${jobs.testerId} IS ${tester.testerId}`),
    )
    .orderBy(asc(jobs.queuedAtMs), asc(jobs.id))
    .limit(1);
  const now = clock();
  const row = db
    .update(jobs)
    .set({
      state: 'running',
      attempt: sql`${jobs.attempt} + 1`,
      progress: 0,
      leaseOwner,
      leaseExpiresAtMs: now + leaseMs,
      claimedAtMs: now,
    })
    .where(eq(jobs.id, next))
    .returning()
    .get();
  const job = toJob(row);
  return { job, lease: { jobId: job.id, leaseOwner, attempt: job.attempt } };
}

/**
 * Among those with the most urgent work: fewest jobs running, then served longest ago, then waiting longest. Work for
 * nobody in particular takes its turn too.
 */
function findTesterToServe({ db }: WriteContext): { testerId: string | null; priority: number } | undefined {
  return db.get(sql`
    SELECT queued.tester_id AS testerId, queued.priority AS priority
    FROM (
      SELECT tester_id, priority, min(queued_at_ms) AS oldest FROM jobs
      WHERE state = 'queued' AND priority = (SELECT min(priority) FROM jobs WHERE state = 'queued')
      GROUP BY priority, tester_id) AS queued
    ORDER BY
      (SELECT count(*) FROM jobs AS busy WHERE busy.state = 'running' AND busy.tester_id IS queued.tester_id),
      (SELECT max(served.claimed_at_ms) FROM jobs AS served WHERE served.tester_id IS queued.tester_id),
      queued.oldest,
      queued.tester_id
    LIMIT 1`);
}
