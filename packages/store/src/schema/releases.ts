import type { RolloutStage, WatchVerdict } from '@syncline/fleet';
import { index, integer, primaryKey, real, sqliteTable, text } from 'drizzle-orm/sqlite-core';
import type { ReleaseCohort, StoredPartLook } from '../releases/releases.js';
import { revisions } from './calibrations.js';
import { people } from './people.js';
import { platforms } from './platforms.js';
import { vehicles } from './vehicles.js';

/**
 * A pointer to a revision that is offered to cars in stages. What is released, to whom and in which stages never
 * changes, by trigger; state and stage do, and each change has its event.
 */
export const releases = sqliteTable(
  'releases',
  {
    id: text('id').primaryKey(),
    platformId: text('platform_id')
      .notNull()
      .references(() => platforms.id),
    revisionId: text('revision_id')
      .notNull()
      .references(() => revisions.id),
    contentHash: text('content_hash').notNull(),
    /** What it is compared with, and what cars go back to. */
    replacesId: text('replaces_id').references(() => revisions.id),
    /** What changed, as the people who install it read it. */
    words: text('words').notNull(),
    cohort: text('cohort', { mode: 'json' }).$type<ReleaseCohort>().notNull(),
    stages: text('stages', { mode: 'json' }).$type<readonly RolloutStage[]>().notNull(),
    /** Rise of a rate that may not be exceeded (share of shifts). */
    harmLimit: real('harm_limit').notNull(),
    state: text('state', { enum: ['draft', 'running', 'held', 'complete', 'recalled'] }).notNull(),
    /** Index into `stages`. */
    stage: integer('stage').notNull(),
    createdByName: text('created_by_name').notNull(),
    createdAtMs: integer('created_at_ms').notNull(),
  },
  (table) => [
    index('releases_by_platform').on(table.platformId, table.id),
    index('releases_by_revision').on(table.revisionId),
    index('releases_by_content').on(table.contentHash),
  ],
);

/** Append only, by trigger. */
export const releaseEvents = sqliteTable(
  'release_events',
  {
    id: text('id').primaryKey(),
    releaseId: text('release_id')
      .notNull()
      .references(() => releases.id),
    kind: text('kind', {
      enum: ['draft', 'start', 'widen', 'hold', 'resume', 'complete', 'recall', 'join', 'installed', 'failed'],
    }).notNull(),
    /** The stage that held afterwards. */
    stage: integer('stage').notNull(),
    reason: text('reason').notNull(),
    byName: text('by_name').notNull(),
    atMs: integer('at_ms').notNull(),
  },
  (table) => [index('release_events_by_release').on(table.releaseId, table.id)],
);

/** Cars that were taken in, and what their people answered. A car that was taken in stays. */
export const releaseCars = sqliteTable(
  'release_cars',
  {
    releaseId: text('release_id')
      .notNull()
      .references(() => releases.id),
    vehicleId: text('vehicle_id')
      .notNull()
      .references(() => vehicles.id),
    stage: integer('stage').notNull(),
    takenAtMs: integer('taken_at_ms').notNull(),
    answer: text('answer', { enum: ['none', 'installed', 'failed'] }).notNull(),
    answerNote: text('answer_note').notNull().default(''),
    answeredAtMs: integer('answered_at_ms'),
  },
  (table) => [
    primaryKey({ columns: [table.releaseId, table.vehicleId] }),
    index('release_cars_by_vehicle').on(table.vehicleId, table.releaseId),
  ],
);

/** What the monitor saw each time. Append only, by trigger. */
export const releaseLooks = sqliteTable(
  'release_looks',
  {
    id: text('id').primaryKey(),
    releaseId: text('release_id')
      .notNull()
      .references(() => releases.id),
    atMs: integer('at_ms').notNull(),
    /** Under the released revision, with a load that was logged or not. */
    shifts: integer('shifts').notNull(),
    verdict: text('verdict').$type<WatchVerdict>().notNull(),
    parts: text('parts', { mode: 'json' }).$type<readonly StoredPartLook[]>().notNull(),
  },
  (table) => [index('release_looks_by_release').on(table.releaseId, table.id)],
);

/** Every file that left for a car. Append only, by trigger. */
export const downloads = sqliteTable(
  'downloads',
  {
    id: text('id').primaryKey(),
    releaseId: text('release_id')
      .notNull()
      .references(() => releases.id),
    revisionId: text('revision_id')
      .notNull()
      .references(() => revisions.id),
    vehicleId: text('vehicle_id')
      .notNull()
      .references(() => vehicles.id),
    personId: text('person_id').references(() => people.id),
    personName: text('person_name').notNull(),
    contentHash: text('content_hash').notNull(),
    /** Of the bytes that were sent. */
    fileSha256: text('file_sha256').notNull(),
    format: text('format').notNull(),
    atMs: integer('at_ms').notNull(),
  },
  (table) => [
    index('downloads_by_release').on(table.releaseId, table.id),
    index('downloads_by_vehicle').on(table.vehicleId, table.id),
  ],
);
