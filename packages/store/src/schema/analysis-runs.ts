import { sql } from 'drizzle-orm';
import { index, integer, primaryKey, sqliteTable, text, uniqueIndex } from 'drizzle-orm/sqlite-core';
import type { FoundBesideShifts, ResultChanges } from '../analysis-runs/analysis-runs.js';
import { logs } from './logs.js';
import { platforms } from './platforms.js';
import { foundShiftColumns } from './shifts.js';

/**
 * A platform's logs analysed or graded anew, beside the results that pages show. Whether a run still collects is told
 * by its jobs, not by a column, so that no crash can make the two disagree.
 */
export const analysisRuns = sqliteTable(
  'analysis_runs',
  {
    id: text('id').primaryKey(),
    platformId: text('platform_id')
      .notNull()
      .references(() => platforms.id),
    reason: text('reason', { enum: ['analysis', 'policy', 'asked'] }).notNull(),
    analysisVersion: integer('analysis_version').notNull(),
    policyVersion: integer('policy_version').notNull(),
    state: text('state', { enum: ['open', 'switched', 'discarded'] }).notNull(),
    beganAtMs: integer('began_at_ms').notNull(),
    beganByName: text('began_by_name').notNull(),
    endedAtMs: integer('ended_at_ms'),
    endedByName: text('ended_by_name'),
    /** Why it was discarded; empty where a person did not say. */
    endNote: text('end_note'),
    /** What it changed or would have, as it was known when it ended. */
    effect: text('effect', { mode: 'json' }).$type<unknown>(),
  },
  (table) => [
    uniqueIndex('analysis_runs_open').on(table.platformId).where(sql`${table.state} = 'open'`),
    index('analysis_runs_by_platform').on(table.platformId, table.id),
  ],
);

/** The result of one log in a run: what was found beside its shifts, and how it differs from what pages show. */
export const candidateResults = sqliteTable(
  'candidate_results',
  {
    runId: text('run_id')
      .notNull()
      .references(() => analysisRuns.id),
    logId: text('log_id')
      .notNull()
      .references(() => logs.id),
    outcome: text('outcome', { enum: ['analysed', 'regraded', 'failed'] }).notNull(),
    problemCode: text('problem_code'),
    problemDetail: text('problem_detail'),
    problemRemedy: text('problem_remedy'),
    /** Null where only grades are new. */
    found: text('found', { mode: 'json' }).$type<FoundBesideShifts>(),
    signalFile: text('signal_file'),
    changes: text('changes', { mode: 'json' }).$type<ResultChanges>().notNull(),
    /** Shifts found, lost or graded otherwise. */
    changeCount: integer('change_count').notNull(),
  },
  (table) => [
    primaryKey({ columns: [table.runId, table.logId] }),
    index('candidate_results_by_change').on(table.runId, table.changeCount, table.logId),
    index('candidate_results_by_signal_file').on(table.signalFile),
  ],
);

/** Shifts of a run. What a shift repeats of its log is taken from the log when the run is switched to. */
export const candidateShifts = sqliteTable(
  'candidate_shifts',
  {
    runId: text('run_id')
      .notNull()
      .references(() => analysisRuns.id),
    logId: text('log_id')
      .notNull()
      .references(() => logs.id),
    id: text('id').notNull(),
    ...foundShiftColumns(),
  },
  (table) => [primaryKey({ columns: [table.runId, table.logId, table.id] })],
);
