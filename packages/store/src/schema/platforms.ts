import type { Layout, Platform } from '@syncline/calibration';
import type { BusSignal, DialectProfile } from '@syncline/drivelog';
import type { GradingPolicy } from '@syncline/shifts';
import { integer, primaryKey, sqliteTable, text } from 'drizzle-orm/sqlite-core';

export const platforms = sqliteTable('platforms', {
  id: text('id').primaryKey(),
  title: text('title').notNull(),
  gearCount: integer('gear_count').notNull(),
  document: text('document', { mode: 'json' }).$type<Platform>().notNull(),
  /** Version of the grading policy by which the shifts that pages show are graded; a newer one waits for its run. */
  policyInForce: integer('policy_in_force').notNull().default(1),
  createdAtMs: integer('created_at_ms').notNull(),
});

/** Versions of the calibration schema of a platform. Immutable by trigger. */
export const layouts = sqliteTable(
  'layouts',
  {
    platformId: text('platform_id')
      .notNull()
      .references(() => platforms.id),
    version: integer('version').notNull(),
    document: text('document', { mode: 'json' }).$type<Layout>().notNull(),
    createdAtMs: integer('created_at_ms').notNull(),
  },
  (table) => [primaryKey({ columns: [table.platformId, table.version] })],
);

/** Versions of the grading policy of a platform. Immutable by trigger. */
export const policies = sqliteTable(
  'policies',
  {
    platformId: text('platform_id')
      .notNull()
      .references(() => platforms.id),
    version: integer('version').notNull(),
    document: text('document', { mode: 'json' }).$type<GradingPolicy>().notNull(),
    createdAtMs: integer('created_at_ms').notNull(),
  },
  (table) => [primaryKey({ columns: [table.platformId, table.version] })],
);

/** Versions of the signal list of a bus dialect. Immutable by trigger. */
export const busSignalLists = sqliteTable(
  'bus_signal_lists',
  {
    platformId: text('platform_id')
      .notNull()
      .references(() => platforms.id),
    dialectId: text('dialect_id').notNull(),
    version: integer('version').notNull(),
    document: text('document', { mode: 'json' }).$type<readonly BusSignal[]>().notNull(),
    createdAtMs: integer('created_at_ms').notNull(),
    byName: text('by_name').notNull(),
  },
  (table) => [primaryKey({ columns: [table.platformId, table.dialectId, table.version] })],
);

/** Versions of what is known of a bus dialect. Immutable by trigger. */
export const dialectProfiles = sqliteTable(
  'dialect_profiles',
  {
    platformId: text('platform_id')
      .notNull()
      .references(() => platforms.id),
    dialectId: text('dialect_id').notNull(),
    version: integer('version').notNull(),
    document: text('document', { mode: 'json' }).$type<DialectProfile>().notNull(),
    /** Captures that it was learned from; empty when it was entered. */
    captureIds: text('capture_ids', { mode: 'json' }).$type<readonly string[]>().notNull(),
    createdAtMs: integer('created_at_ms').notNull(),
    byName: text('by_name').notNull(),
  },
  (table) => [primaryKey({ columns: [table.platformId, table.dialectId, table.version] })],
);
