import { eq } from 'drizzle-orm';
import type { WriteContext } from '../database/context.js';
import { setLogState } from '../logs/set-log-state.js';
import { jobs } from '../schema/jobs.js';
import { claimJob, heldLeases } from './claim-job.js';
import { endJob, failAttempt, isHeldBy, returnLease } from './end-job.js';
import { enqueueJob } from './enqueue-job.js';
import type { JobWrites } from './jobs.js';

export function jobWrites(context: WriteContext): JobWrites {
  const { db, clock, transaction, repeatable } = context;
  return {
    enqueue: (job) => transaction(() => enqueueJob(context, job)),

    claim: (input) => repeatable(() => claimJob(context, input)),

    heartbeat: ({ lease, leaseMs, progress, logState }) =>
      repeatable(() => {
        const row = db
          .update(jobs)
          .set({ leaseExpiresAtMs: clock() + leaseMs, progress })
          .where(isHeldBy(lease))
          .returning({ logId: jobs.logId })
          .get();
        // drizzle types get() as if a row always came back.
        const held = row as typeof row | undefined;
        if (held?.logId && logState) setLogState(context, held.logId, { state: logState, progress });
        return held !== undefined;
      }),

    complete: (lease) => transaction(() => endJob(context, lease, { state: 'done' })),

    fail: ({ lease, problem, retry }) => transaction(() => failAttempt(context, lease, { problem, retry })),

    giveBack: (lease) =>
      transaction(() => {
        if (db.select({ id: jobs.id }).from(jobs).where(isHeldBy(lease)).get()) returnLease(context, lease);
      }),

    release: (leaseOwner) =>
      transaction(() => {
        const leases = heldLeases(context, eq(jobs.leaseOwner, leaseOwner));
        for (const lease of leases) returnLease(context, lease);
        return leases.length;
      }),
  };
}
