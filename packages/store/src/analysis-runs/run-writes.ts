import { and, eq, inArray, isNotNull, isNull, ne, or, sql } from 'drizzle-orm';
import { appendAudit } from '../audit/append-audit.js';
import type { WriteContext } from '../database/context.js';
import { insertRows } from '../database/insert-rows.js';
import { endJob } from '../jobs/end-job.js';
import { enqueueJob } from '../jobs/enqueue-job.js';
import type { NewJob } from '../jobs/jobs.js';
import { findOrigin } from '../logs/replace-analysis.js';
import { problemColumns } from '../logs/set-log-state.js';
import { analysisRuns, candidateResults, candidateShifts } from '../schema/analysis-runs.js';
import { jobs } from '../schema/jobs.js';
import { blobs, logArtefacts, logs } from '../schema/logs.js';
import { platforms, policies } from '../schema/platforms.js';
import { vehicles } from '../schema/vehicles.js';
import { toShiftRow } from '../shifts/shift-row.js';
import { StoreError } from '../store-error.js';
import type { AnalysisRun, AnalysisRunWrites, ResultChanges, RunMember } from './analysis-runs.js';
import { dropCandidate } from './renew-candidate.js';
import { findOpenRun, findRun } from './run-reads.js';
import { switchToRun } from './switch-run.js';

type Writes = AnalysisRunWrites;

const SUPERSEDED = 'A newer run took its place.';

export function analysisRunWrites(
  context: WriteContext,
  options: { readonly hasSignalFile: (name: string) => boolean },
): Writes {
  const { db, clock, ids, transaction } = context;

  function requireOpen(runId: string): AnalysisRun {
    const run = findRun(db, eq(analysisRuns.id, runId));
    if (!run) throw new StoreError('not_found', `There is no analysis run '${runId}'.`);
    if (run.endedAtMs === null) return run;
    throw new StoreError('run_ended', `The run was ${run.state} by ${run.endedByName}.`);
  }

  function end(
    runId: string,
    to: { state: 'switched' | 'discarded'; byName: string; note: string; effect: unknown },
  ): void {
    const { state, byName, note, effect } = to;
    db.delete(jobs).where(eq(jobs.runId, runId)).run();
    db.update(analysisRuns)
      .set({ state, endedAtMs: clock(), endedByName: byName, endNote: note, effect })
      .where(eq(analysisRuns.id, runId))
      .run();
  }

  return {
    begin: ({ actor, jobFor, ...input }) =>
      transaction(() => {
        requirePolicy(context, input.platformId, input.policyVersion);
        const open = findOpenRun(db, input.platformId);
        if (open) end(open.id, { state: 'discarded', byName: actor.name, note: SUPERSEDED, effect: null });
        const runId = ids();
        db.insert(analysisRuns)
          .values({ ...input, id: runId, state: 'open', beganAtMs: clock(), beganByName: actor.name })
          .run();
        const logCount = enqueueAll(context, membersOf(context, runId, input.platformId), (log) => jobFor(runId, log));
        appendAudit(context, {
          actor,
          action: 'analysisRun.begin',
          target: `analysisRun:${runId}`,
          detail: `platform:${input.platformId}, analysis ${input.analysisVersion}, policy ${input.policyVersion}, ${logCount} logs`,
        });
        return { runId, logCount };
      }),

    resume: ({ runId, jobFor }) =>
      transaction(() => {
        const run = requireOpen(runId);
        const pending = db
          .select({ logId: sql<string>`substr(${jobs.inputKey}, ${runId.length + 2})` })
          .from(jobs)
          .where(and(eq(jobs.runId, runId), inArray(jobs.state, ['queued', 'running'])))
          .all();
        const busy = new Set(pending.map(({ logId }) => logId));
        const members = membersOf(context, runId, run.platformId).filter(({ logId }) => !busy.has(logId));
        return enqueueAll(context, members, (log) => jobFor(runId, log));
      }),

    keep(input) {
      const file = input.found?.signalFile?.name;
      if (file !== undefined && !options.hasSignalFile(file)) {
        throw new StoreError('not_found', `There is no signal file '${file}': close it before its result is kept.`);
      }
      transaction(() => {
        endJob(context, input.lease, { state: 'done' });
        keepCandidate(context, input);
      });
    },

    switchTo: ({ actor, runId, effect }) =>
      transaction(() => {
        const run = requireOpen(runId);
        if (run.state !== 'ready') {
          const { done, total } = run.progress ?? { done: 0, total: 0 };
          throw new StoreError('run_not_ready', `${total - done} of ${total} logs have no new result yet.`);
        }
        switchToRun(context, run);
        end(runId, { state: 'switched', byName: actor.name, note: '', effect });
        appendAudit(context, {
          actor,
          action: 'analysisRun.switch',
          target: `analysisRun:${runId}`,
          detail: `platform:${run.platformId}, analysis ${run.analysisVersion}, policy ${run.policyInForce} → ${run.policyVersion}`,
        });
      }),

    discard: ({ actor, runId, note, effect }) =>
      transaction(() => {
        const { platformId } = requireOpen(runId);
        end(runId, { state: 'discarded', byName: actor.name, note, effect });
        appendAudit(context, {
          actor,
          action: 'analysisRun.discard',
          target: `analysisRun:${runId}`,
          detail: `platform:${platformId}${note === '' ? '' : `: ${note}`}`,
        });
      }),

    sweep: (maxLogs) =>
      transaction(() => {
        const old = db
          .select({ runId: candidateResults.runId, logId: candidateResults.logId })
          .from(candidateResults)
          .innerJoin(analysisRuns, eq(analysisRuns.id, candidateResults.runId))
          .where(ne(analysisRuns.state, 'open'))
          .limit(maxLogs)
          .all();
        for (const { runId, logId } of old) dropCandidate(context, runId, logId);
        return old.length;
      }),
  };
}

function requirePolicy({ db }: WriteContext, platformId: string, version: number): void {
  const policy = db
    .select({ version: policies.version })
    .from(policies)
    .innerJoin(platforms, eq(platforms.id, policies.platformId))
    .where(and(eq(policies.platformId, platformId), eq(policies.version, version)))
    .get();
  if (!policy) throw new StoreError('not_found', `Platform '${platformId}' has no grading policy ${version}.`);
}

/** Logs with a result, and those whose file could not be read; those that the run has a result of already left out. */
function membersOf({ db }: WriteContext, runId: string, platformId: string): RunMember[] {
  return db
    .select({
      logId: logs.id,
      analysisVersion: logArtefacts.analysisVersion,
      hasOriginal: isNull(blobs.removedAtMs).mapWith(Boolean),
    })
    .from(logs)
    .innerJoin(vehicles, eq(vehicles.id, logs.vehicleId))
    .innerJoin(blobs, eq(blobs.sha256, logs.sha256))
    .leftJoin(logArtefacts, eq(logArtefacts.logId, logs.id))
    .where(
      and(
        eq(vehicles.platformId, platformId),
        or(isNotNull(logArtefacts.analysisVersion), eq(logs.state, 'failed')),
        sql`NOT EXISTS (
          SELECT 1 FROM candidate_results
          WHERE candidate_results.run_id = ${runId} AND candidate_results.log_id = ${logs.id})`,
      ),
    )
    .orderBy(logs.id)
    .all();
}

function enqueueAll(
  context: WriteContext,
  members: readonly RunMember[],
  jobFor: (log: RunMember) => NewJob | null,
): number {
  const wanted = members.map(jobFor).filter((job) => job !== null);
  for (const job of wanted) enqueueJob(context, job);
  return wanted.length;
}

function keepCandidate(context: WriteContext, input: Parameters<Writes['keep']>[0]): void {
  const { db } = context;
  const { runId, logId, outcome, found, problem, changes } = input;
  dropCandidate(context, runId, logId);
  db.insert(candidateResults)
    .values({
      runId,
      logId,
      outcome,
      ...problemColumns(problem),
      found,
      signalFile: found?.signalFile?.name ?? null,
      changes,
      changeCount: countChanges(changes),
    })
    .run();
  const origin = findOrigin(context, input);
  insertRows(
    db,
    candidateShifts,
    input.shifts.map((shift, position) => ({ ...toShiftRow(shift, position, origin), runId })),
  );
}

function countChanges(changes: ResultChanges): number {
  return Object.values(changes).reduce((sum, { found, lost, regraded }) => sum + found + lost + regraded, 0);
}
