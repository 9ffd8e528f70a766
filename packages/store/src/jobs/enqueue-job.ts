import { and, eq, ne } from 'drizzle-orm';
import type { WriteContext } from '../database/context.js';
import { problemColumns, setLogState } from '../logs/set-log-state.js';
import { jobs } from '../schema/jobs.js';
import { priorityOf } from './job-priority.js';
import type { NewJob } from './jobs.js';

/**
 * Queues a job unless it is queued or running already. A log has one live job: one with another input takes the place
 * of those before it, whose workers then find their lease lost. Part of a larger transaction.
 */
export function enqueueJob(context: WriteContext, job: NewJob): { jobId: string; isNew: boolean } {
  const { db, clock, ids } = context;
  const known = db
    .select({ id: jobs.id, state: jobs.state, priority: jobs.priority })
    .from(jobs)
    .where(and(eq(jobs.kind, job.kind), eq(jobs.inputKey, job.inputKey)))
    .get();
  const priority = priorityOf(job);
  if (known?.state === 'queued' || known?.state === 'running') {
    if (priority < known.priority) db.update(jobs).set({ priority }).where(eq(jobs.id, known.id)).run();
    return { jobId: known.id, isNew: false };
  }
  const jobId = known?.id ?? ids();
  const fresh = {
    state: 'queued' as const,
    priority,
    attempt: 0,
    interruptions: 0,
    progress: 0,
    queuedAtMs: clock(),
    endedAtMs: null,
    ...problemColumns(null),
  };
  if (known) {
    db.update(jobs).set(fresh).where(eq(jobs.id, jobId)).run();
  } else {
    const { kind, inputKey, logId, testerId, runId } = job;
    db.insert(jobs)
      .values({ id: jobId, kind, inputKey, logId, testerId, runId, ...fresh })
      .run();
  }
  if (job.logId !== undefined) {
    db.delete(jobs)
      .where(and(eq(jobs.logId, job.logId), ne(jobs.id, jobId)))
      .run();
    setLogState(context, job.logId, { state: 'waiting', progress: 0 });
  }
  return { jobId, isNew: true };
}
