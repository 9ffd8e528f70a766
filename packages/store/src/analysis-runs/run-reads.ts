import { and, asc, count, desc, eq, getTableColumns, lt, type SQL, sql } from 'drizzle-orm';
import { revisionNameColumns } from '../calibrations/revision-columns.js';
import type { Db } from '../database/context.js';
import { problemOf } from '../logs/set-log-state.js';
import { pageKey, pageOf } from '../page.js';
import { analysisRuns, candidateResults, candidateShifts } from '../schema/analysis-runs.js';
import { calibrations, revisions } from '../schema/calibrations.js';
import { jobs } from '../schema/jobs.js';
import { logs } from '../schema/logs.js';
import { platforms } from '../schema/platforms.js';
import { vehicles } from '../schema/vehicles.js';
import { toStoredShift } from '../shifts/shift-row.js';
import { isInScope } from '../vehicles/vehicle-reads.js';
import type { AnalysisRun, AnalysisRunReads, CandidateSummary, ResultVersions, RunState } from './analysis-runs.js';

export function analysisRunReads(db: Db): AnalysisRunReads {
  return {
    list({ platformId }, { cursor, limit }) {
      const key = pageKey(cursor);
      const matches = platformId === undefined ? undefined : eq(analysisRuns.platformId, platformId);
      const rows = selectRuns(db)
        .where(and(matches, key && lt(analysisRuns.id, String(key[1]))))
        .orderBy(desc(analysisRuns.id))
        .limit(limit + 1)
        .all();
      const totalCount = db.select({ value: count() }).from(analysisRuns).where(matches).get()?.value ?? 0;
      return pageOf(rows, { limit, totalCount, keyOf: (row) => [null, row.id], toItem: toRun });
    },

    find: (runId) => findRun(db, eq(analysisRuns.id, runId)),

    findOpen: (platformId) => findOpenRun(db, platformId),

    candidates: (runId) =>
      db
        .select({
          logId: candidateResults.logId,
          vehicleId: logs.vehicleId,
          outcome: candidateResults.outcome,
          changes: candidateResults.changes,
        })
        .from(candidateResults)
        .innerJoin(logs, eq(logs.id, candidateResults.logId))
        .where(eq(candidateResults.runId, runId))
        .orderBy(asc(candidateResults.logId))
        .all(),

    listChanged: (runId, limit) =>
      selectCandidates(db)
        .where(
          and(
            eq(candidateResults.runId, runId),
            sql`(${candidateResults.changeCount} > 0 OR ${candidateResults.outcome} = 'failed')`,
          ),
        )
        .orderBy(
          sql`${candidateResults.outcome} <> 'failed'`,
          desc(candidateResults.changeCount),
          asc(candidateResults.logId),
        )
        .limit(limit)
        .all()
        .map(toSummary),

    findCandidate(scope, runId, logId) {
      const row = selectCandidates(db)
        .where(and(eq(candidateResults.runId, runId), eq(candidateResults.logId, logId), isInScope(scope)))
        .get();
      return row && { ...toSummary(row), found: row.found, shifts: shiftsOf(db, runId, logId) };
    },

    listVersions: (analysisVersion) => listVersions(db, analysisVersion),
  };
}

/** The run with how far it is. `state` of the row knows nothing of its jobs: `toRun` puts the two together. */
function selectRuns(db: Db) {
  const jobCount = (states: SQL) =>
    sql<number>`(SELECT count(*) FROM ${jobs} WHERE ${jobs.runId} = ${analysisRuns.id} AND ${jobs.state} IN (${states}))`;
  return db
    .select({
      ...getTableColumns(analysisRuns),
      platformTitle: platforms.title,
      policyInForce: platforms.policyInForce,
      done: sql<number>`(SELECT count(*) FROM ${candidateResults} WHERE ${candidateResults.runId} = ${analysisRuns.id})`,
      pending: jobCount(sql`'queued', 'running'`),
      stuck: jobCount(sql`'failed'`),
    })
    .from(analysisRuns)
    .innerJoin(platforms, eq(platforms.id, analysisRuns.platformId));
}

type RunRow = NonNullable<ReturnType<ReturnType<typeof selectRuns>['get']>>;

function toRun({ done, pending, stuck, state: kept, ...run }: RunRow): AnalysisRun {
  const isOpen = kept === 'open';
  const state: RunState = !isOpen ? kept : pending + stuck > 0 ? 'collecting' : 'ready';
  return { ...run, state, progress: isOpen ? { done, stuck, total: done + pending + stuck } : null };
}

export function findRun(db: Db, where: SQL | undefined): AnalysisRun | undefined {
  const row = selectRuns(db).where(where).get();
  return row && toRun(row);
}

export function findOpenRun(db: Db, platformId: string): AnalysisRun | undefined {
  return findRun(db, and(eq(analysisRuns.platformId, platformId), eq(analysisRuns.state, 'open')));
}

function selectCandidates(db: Db) {
  return db
    .select({
      ...getTableColumns(candidateResults),
      fileName: logs.fileName,
      vehicleTitle: vehicles.title,
      drivenAtMs: logs.drivenAtMs,
    })
    .from(candidateResults)
    .innerJoin(logs, eq(logs.id, candidateResults.logId))
    .innerJoin(vehicles, eq(vehicles.id, logs.vehicleId));
}

function toSummary(row: NonNullable<ReturnType<ReturnType<typeof selectCandidates>['get']>>): CandidateSummary {
  const { logId, fileName, vehicleTitle, drivenAtMs, outcome, changes, changeCount } = row;
  return { logId, fileName, vehicleTitle, drivenAtMs, outcome, problem: problemOf(row), changes, changeCount };
}

function shiftsOf(db: Db, runId: string, logId: string) {
  const { runId: _, ...columns } = getTableColumns(candidateShifts);
  return db
    .select({
      shift: columns,
      vehicleId: logs.vehicleId,
      drivenAtMs: logs.drivenAtMs,
      vehicleTitle: vehicles.title,
      platformId: vehicles.platformId,
      ...revisionNameColumns,
    })
    .from(candidateShifts)
    .innerJoin(logs, eq(logs.id, candidateShifts.logId))
    .innerJoin(vehicles, eq(vehicles.id, logs.vehicleId))
    .leftJoin(revisions, eq(revisions.id, logs.revisionId))
    .leftJoin(calibrations, eq(calibrations.id, revisions.calibrationId))
    .where(and(eq(candidateShifts.runId, runId), eq(candidateShifts.logId, logId)))
    .orderBy(asc(candidateShifts.id))
    .all()
    .map(({ shift, vehicleId, drivenAtMs, platformId, ...names }) =>
      toStoredShift({ ...names, shift: { ...shift, vehicleId, drivenAtMs, platformId, revisionId: names.revisionId } }),
    );
}

function listVersions(db: Db, analysisVersion: number): ResultVersions[] {
  const anyResult = (differs: SQL) => sql`EXISTS (
    SELECT 1 FROM log_artefacts
    INNER JOIN logs ON logs.id = log_artefacts.log_id
    INNER JOIN vehicles ON vehicles.id = logs.vehicle_id
    WHERE vehicles.platform_id = platforms.id AND ${differs})`;
  const rows = db.all<Record<keyof ResultVersions, string | number>>(sql`
    SELECT
      platforms.id AS platformId, platforms.policy_in_force AS policyInForce,
      ${anyResult(sql`log_artefacts.analysis_version < ${analysisVersion}`)} AS hasOlderAnalysis,
      ${anyResult(sql`log_artefacts.policy_version <> platforms.policy_in_force`)} AS hasOtherPolicy,
      EXISTS (
        SELECT 1 FROM analysis_runs
        WHERE analysis_runs.platform_id = platforms.id AND analysis_runs.analysis_version = ${analysisVersion}) AS hadRun
    FROM platforms ORDER BY platforms.id`);
  return rows.map((row) => ({
    platformId: String(row.platformId),
    policyInForce: Number(row.policyInForce),
    hasOlderAnalysis: row.hasOlderAnalysis === 1,
    hasOtherPolicy: row.hasOtherPolicy === 1,
    hadRun: row.hadRun === 1,
  }));
}
