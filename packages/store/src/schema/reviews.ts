import { sql } from 'drizzle-orm';
import { index, integer, sqliteTable, text, uniqueIndex } from 'drizzle-orm/sqlite-core';
import { calibrations, revisions } from './calibrations.js';
import { people } from './people.js';

/** Reviews of the content of a revision. What was asked never changes, nor what was decided: by trigger. */
export const reviews = sqliteTable(
  'reviews',
  {
    id: text('id').primaryKey(),
    calibrationId: text('calibration_id')
      .notNull()
      .references(() => calibrations.id),
    revisionId: text('revision_id')
      .notNull()
      .references(() => revisions.id),
    /** What is reviewed: equal content of the calibration shares the decision. */
    contentHash: text('content_hash').notNull(),
    state: text('state', { enum: ['open', 'approved', 'sentBack', 'withdrawn'] }).notNull(),
    note: text('note').notNull(),
    requestedById: text('requested_by_id').references(() => people.id),
    requestedByName: text('requested_by_name').notNull(),
    requestedAtMs: integer('requested_at_ms').notNull(),
    decidedById: text('decided_by_id').references(() => people.id),
    decidedByName: text('decided_by_name'),
    decidedAtMs: integer('decided_at_ms'),
    reason: text('reason'),
  },
  (table) => [
    uniqueIndex('reviews_one_open').on(table.revisionId).where(sql`state = 'open'`),
    index('reviews_by_revision').on(table.revisionId, table.id),
    index('reviews_by_content').on(table.calibrationId, table.contentHash, table.id),
    index('reviews_by_state').on(table.state, table.id),
  ],
);

/** Remarks on a revision, a table or a cell of it. Only whether one is settled changes, by trigger. */
export const comments = sqliteTable(
  'comments',
  {
    id: text('id').primaryKey(),
    revisionId: text('revision_id')
      .notNull()
      .references(() => revisions.id),
    tableId: text('table_id'),
    variant: text('variant'),
    row: integer('row'),
    column: integer('column'),
    text: text('text').notNull(),
    byId: text('by_id').references(() => people.id),
    byName: text('by_name').notNull(),
    createdAtMs: integer('created_at_ms').notNull(),
    resolvedByName: text('resolved_by_name'),
    resolvedAtMs: integer('resolved_at_ms'),
  },
  (table) => [index('comments_by_revision').on(table.revisionId, table.id)],
);
