import type { Layout, Platform } from '@syncline/calibration';
import type { GradingPolicy } from '@syncline/shifts';
import { integer, primaryKey, sqliteTable, text } from 'drizzle-orm/sqlite-core';

export const platforms = sqliteTable('platforms', {
  id: text('id').primaryKey(),
  title: text('title').notNull(),
  gearCount: integer('gear_count').notNull(),
  document: text('document', { mode: 'json' }).$type<Platform>().notNull(),
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
