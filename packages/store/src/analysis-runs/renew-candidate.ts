import { and, eq } from 'drizzle-orm';
import type { WriteContext } from '../database/context.js';
import { enqueueJob } from '../jobs/enqueue-job.js';
import type { NewJob } from '../jobs/jobs.js';
import { analysisRuns, candidateResults, candidateShifts } from '../schema/analysis-runs.js';
import { jobs } from '../schema/jobs.js';

/**
 * A log that was analysed while a run of its platform is open gets its result in the run anew: what the run has of it,
 * or works on, is about shifts that are no more. Part of a larger transaction.
 */
export function renewCandidate(
  context: WriteContext,
  { logId, platformId, jobFor }: { logId: string; platformId: string; jobFor: (runId: string) => NewJob },
): void {
  const { db } = context;
  const run = db
    .select({ id: analysisRuns.id })
    .from(analysisRuns)
    .where(and(eq(analysisRuns.platformId, platformId), eq(analysisRuns.state, 'open')))
    .get();
  if (!run) return;
  dropCandidate(context, run.id, logId);
  const job = jobFor(run.id);
  // Whoever works on it now finds the lease lost.
  db.delete(jobs)
    .where(and(eq(jobs.runId, run.id), eq(jobs.inputKey, job.inputKey)))
    .run();
  enqueueJob(context, job);
}

/** Removes what a run has of a log. Part of a larger transaction. */
export function dropCandidate({ db }: WriteContext, runId: string, logId: string): void {
  db.delete(candidateShifts)
    .where(and(eq(candidateShifts.runId, runId), eq(candidateShifts.logId, logId)))
    .run();
  db.delete(candidateResults)
    .where(and(eq(candidateResults.runId, runId), eq(candidateResults.logId, logId)))
    .run();
}
