import { index, integer, primaryKey, real, sqliteTable, text } from 'drizzle-orm/sqlite-core';
import type { SignalMapDocument } from '../logs/logs.js';
import { revisions } from './calibrations.js';
import { people } from './people.js';
import { platforms } from './platforms.js';

export const vehicles = sqliteTable(
  'vehicles',
  {
    id: text('id').primaryKey(),
    ownerId: text('owner_id')
      .notNull()
      .references(() => people.id),
    platformId: text('platform_id')
      .notNull()
      .references(() => platforms.id),
    title: text('title').notNull(),
    declaredDialect: text('declared_dialect'),
    engine: text('engine').notNull(),
    massKg: real('mass_kg').notNull(),
    ratedInputTorqueNm: real('rated_input_torque_nm').notNull(),
    inputInertiaKgM2: real('input_inertia_kg_m2').notNull(),
    tyreRadiusM: real('tyre_radius_m').notNull(),
    finalDriveRatio: real('final_drive_ratio').notNull(),
    note: text('note').notNull(),
    /** Free words of the maintainers, by which cohorts are chosen; in the order of their letters. */
    tags: text('tags', { mode: 'json' }).$type<readonly string[]>().notNull().default([]),
    createdAtMs: integer('created_at_ms').notNull(),
  },
  (table) => [index('vehicles_by_owner').on(table.ownerId), index('vehicles_by_platform').on(table.platformId)],
);

/** Which revision a car ran from when until when; spans of one car never overlap. */
export const installations = sqliteTable(
  'installations',
  {
    id: text('id').primaryKey(),
    vehicleId: text('vehicle_id')
      .notNull()
      .references(() => vehicles.id),
    revisionId: text('revision_id')
      .notNull()
      .references(() => revisions.id),
    sinceAtMs: integer('since_at_ms').notNull(),
    /** Exclusive; null while open. */
    untilAtMs: integer('until_at_ms'),
  },
  (table) => [
    index('installations_by_vehicle').on(table.vehicleId, table.sinceAtMs),
    index('installations_by_revision').on(table.revisionId),
  ],
);

export const dialectObservations = sqliteTable(
  'dialect_observations',
  {
    id: text('id').primaryKey(),
    vehicleId: text('vehicle_id')
      .notNull()
      .references(() => vehicles.id),
    dialect: text('dialect'),
    source: text('source', { enum: ['capture', 'inspection'] }).notNull(),
    note: text('note').notNull(),
    observedAtMs: integer('observed_at_ms').notNull(),
    byName: text('by_name').notNull(),
    /** What was declared when it was made: it confirms that declaration and no later one. */
    declaredDialect: text('declared_dialect'),
  },
  (table) => [index('dialect_observations_by_vehicle').on(table.vehicleId, table.id)],
);

/** Whether a car whose dialect is not confirmed may be offered revisions all the same, and why. */
export const dialectDecisions = sqliteTable(
  'dialect_decisions',
  {
    id: text('id').primaryKey(),
    vehicleId: text('vehicle_id')
      .notNull()
      .references(() => vehicles.id),
    decision: text('decision', { enum: ['accept', 'refuse'] }).notNull(),
    reason: text('reason').notNull(),
    /** The pair that was decided on. */
    declaredDialect: text('declared_dialect'),
    observedDialect: text('observed_dialect'),
    byName: text('by_name').notNull(),
    decidedAtMs: integer('decided_at_ms').notNull(),
    /** When the pair changed, or another decision took its place; null while it holds. */
    lapsedAtMs: integer('lapsed_at_ms'),
  },
  (table) => [index('dialect_decisions_by_vehicle').on(table.vehicleId, table.id)],
);

/** One map for each kind of file, so that a table logger and a bus capture of one car do not fight. */
export const signalMaps = sqliteTable(
  'signal_maps',
  {
    vehicleId: text('vehicle_id')
      .notNull()
      .references(() => vehicles.id),
    format: text('format', { enum: ['csv', 'jsonLines', 'candump', 'mdf'] }).notNull(),
    document: text('document', { mode: 'json' }).$type<SignalMapDocument>().notNull(),
    updatedAtMs: integer('updated_at_ms').notNull(),
  },
  (table) => [primaryKey({ columns: [table.vehicleId, table.format] })],
);
