import { and, eq, getTableColumns, sql } from 'drizzle-orm';
import type { WriteContext } from '../database/context.js';
import { rebuildSummaries } from '../fleet/summaries.js';
import { findOrigin, putBesideShifts } from '../logs/replace-analysis.js';
import { problemOf, setLogState } from '../logs/set-log-state.js';
import { countEvidenceOf } from '../proposals/count-evidence.js';
import { candidateResults, candidateShifts } from '../schema/analysis-runs.js';
import { logArtefacts, logs } from '../schema/logs.js';
import { platforms } from '../schema/platforms.js';
import type { AnalysisRun } from './analysis-runs.js';

/** What a shift's row has of its own; the rest repeats the log. */
const OWN_COLUMNS = Object.values(getTableColumns(candidateShifts))
  .map((column) => column.name)
  .filter((name) => name !== 'run_id');
const COLUMNS = sql.raw([...OWN_COLUMNS, 'vehicle_id', 'platform_id', 'revision_id', 'driven_at_ms'].join(', '));
const OWN_VALUES = sql.raw(OWN_COLUMNS.map((name) => `candidate_shifts.${name}`).join(', '));

type CandidateRow = typeof candidateResults.$inferSelect;

/**
 * Puts every result of a run where pages read. All of it is one transaction: a page sees the results of before or those
 * of the run, and a crash leaves the ones of before. That holds other requests up for as long as it takes
 * (bench/switch.ts), once in a while and when a maintainer asks; a pointer to the results in force would spare that and
 * cost every list, count and index of every page for ever. Part of a larger transaction.
 */
export function switchToRun(context: WriteContext, run: AnalysisRun): void {
  const { db } = context;
  const candidates = db.select().from(candidateResults).where(eq(candidateResults.runId, run.id)).all();
  for (const candidate of candidates) moveLog(context, run, candidate);
  replaceReadAgain(context, run.id);
  regradeOthers(context, run.id);
  rebuildSummaries(db, run.platformId);
  countEvidenceOf(db, { platformId: run.platformId });
  db.update(platforms).set({ policyInForce: run.policyVersion }).where(eq(platforms.id, run.platformId)).run();
}

/** All of a log's result but its shifts. */
function moveLog(context: WriteContext, run: AnalysisRun, candidate: CandidateRow): void {
  const { logId, found, outcome } = candidate;
  const { analysisVersion, policyVersion } = run;
  if (found) {
    const origin = findOrigin(context, { logId, drivenAtMs: found.drivenAtMs, analysisVersion, policyVersion });
    putBesideShifts(context, { ...found, logId, analysisVersion, policyVersion }, origin);
  } else {
    context.db
      .update(logArtefacts)
      .set({ policyVersion })
      .where(and(eq(logArtefacts.logId, logId), sql`${logArtefacts.policyVersion} IS NOT NULL`))
      .run();
  }
  if (outcome === 'regraded' || isInWork(context, logId)) return;
  setLogState(context, logId, { state: found?.state ?? 'failed', progress: 1, problem: problemOf(candidate) });
}

/** Shifts of logs that were read again: none of before is left. Their logs are where they belong by now. */
function replaceReadAgain({ db }: WriteContext, runId: string): void {
  const readAgain = sql`SELECT log_id FROM candidate_results WHERE run_id = ${runId} AND outcome = 'analysed'`;
  db.run(sql`DELETE FROM shifts WHERE log_id IN (${readAgain})`);
  db.run(sql`
    INSERT INTO shifts (${COLUMNS})
    SELECT ${OWN_VALUES}, logs.vehicle_id, vehicles.platform_id, logs.revision_id, logs.driven_at_ms
    FROM candidate_shifts
    INNER JOIN logs ON logs.id = candidate_shifts.log_id
    INNER JOIN vehicles ON vehicles.id = logs.vehicle_id
    WHERE candidate_shifts.run_id = ${runId} AND candidate_shifts.log_id IN (${readAgain})`);
}

/** Shifts whose measures stay: only what the policy says of them is new, which spares most indexes. */
function regradeOthers({ db }: WriteContext, runId: string): void {
  db.run(sql`
    UPDATE shifts SET
      grades = regraded.grades, demand_ratio = regraded.demand_ratio, demand_weight = regraded.demand_weight,
      policy_version = regraded.policy_version
    FROM candidate_shifts AS regraded
    INNER JOIN candidate_results AS result
      ON result.run_id = regraded.run_id AND result.log_id = regraded.log_id AND result.outcome <> 'analysed'
    WHERE regraded.run_id = ${runId} AND regraded.id = shifts.id`);
}

/** Queued, running or waiting for a person: its state is about that work, which ends with a state of its own. */
function isInWork({ db }: WriteContext, logId: string): boolean {
  const row = db.select({ state: logs.state }).from(logs).where(eq(logs.id, logId)).get();
  return row !== undefined && !['ready', 'refused', 'failed'].includes(row.state);
}
