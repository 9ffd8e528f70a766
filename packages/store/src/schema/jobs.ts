import { index, integer, real, sqliteTable, text, uniqueIndex } from 'drizzle-orm/sqlite-core';
import { analysisRuns } from './analysis-runs.js';
import { logs } from './logs.js';
import { people } from './people.js';

export const jobs = sqliteTable(
  'jobs',
  {
    id: text('id').primaryKey(),
    kind: text('kind').notNull(),
    inputKey: text('input_key').notNull(),
    logId: text('log_id').references(() => logs.id),
    testerId: text('tester_id').references(() => people.id),
    /** The run that the job collects for. */
    runId: text('run_id').references(() => analysisRuns.id),
    /** 0 for what somebody waits for; 1 for what is done when nobody does. */
    priority: integer('priority').notNull().default(0),
    state: text('state', { enum: ['queued', 'running', 'done', 'failed', 'waiting'] }).notNull(),
    attempt: integer('attempt').notNull(),
    /** How often the whole process ended while the job ran. */
    interruptions: integer('interruptions').notNull().default(0),
    progress: real('progress').notNull(),
    leaseOwner: text('lease_owner'),
    leaseExpiresAtMs: integer('lease_expires_at_ms'),
    queuedAtMs: integer('queued_at_ms').notNull(),
    claimedAtMs: integer('claimed_at_ms'),
    endedAtMs: integer('ended_at_ms'),
    problemCode: text('problem_code'),
    problemDetail: text('problem_detail'),
    problemRemedy: text('problem_remedy'),
  },
  (table) => [
    uniqueIndex('jobs_by_input').on(table.kind, table.inputKey),
    index('jobs_by_state').on(table.state, table.priority, table.testerId, table.queuedAtMs, table.id),
    index('jobs_by_tester').on(table.testerId, table.claimedAtMs),
    index('jobs_by_log').on(table.logId),
    index('jobs_by_run').on(table.runId, table.state),
  ],
);
