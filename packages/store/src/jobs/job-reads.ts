import { and, count, eq, type InferSelectModel, inArray } from 'drizzle-orm';
import type { Db } from '../database/context.js';
import { problemOf } from '../logs/set-log-state.js';
import { jobs } from '../schema/jobs.js';
import { URGENT } from './job-priority.js';
import type { Job, JobReads, JobState } from './jobs.js';

export function jobReads(db: Db): JobReads {
  return {
    find(jobId) {
      const row = db.select().from(jobs).where(eq(jobs.id, jobId)).get();
      return row && toJob(row);
    },

    isLive: ({ kind, inputKey }) =>
      db
        .select({ id: jobs.id })
        .from(jobs)
        .where(and(eq(jobs.kind, kind), eq(jobs.inputKey, inputKey), inArray(jobs.state, ['queued', 'running'])))
        .get() !== undefined,

    countByState() {
      const counts: Record<JobState, number> = { queued: 0, running: 0, done: 0, failed: 0, waiting: 0 };
      for (const row of db.select({ state: jobs.state, value: count() }).from(jobs).groupBy(jobs.state).all()) {
        counts[row.state] = row.value;
      }
      return counts;
    },

    hasUrgent: () =>
      db
        .select({ id: jobs.id })
        .from(jobs)
        .where(and(eq(jobs.state, 'queued'), eq(jobs.priority, URGENT)))
        .limit(1)
        .get() !== undefined,
  };
}

export function toJob(row: InferSelectModel<typeof jobs>): Job {
  return {
    id: row.id,
    kind: row.kind,
    inputKey: row.inputKey,
    logId: row.logId,
    testerId: row.testerId,
    runId: row.runId,
    isBackground: row.priority !== URGENT,
    state: row.state,
    attempt: row.attempt,
    progress: row.progress,
    problem: problemOf(row),
    queuedAtMs: row.queuedAtMs,
  };
}
