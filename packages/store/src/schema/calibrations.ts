import {
  type AnySQLiteColumn,
  foreignKey,
  index,
  integer,
  sqliteTable,
  text,
  uniqueIndex,
} from 'drizzle-orm/sqlite-core';
import { people } from './people.js';
import { layouts, platforms } from './platforms.js';

export const calibrations = sqliteTable('calibrations', {
  id: text('id').primaryKey(),
  platformId: text('platform_id')
    .notNull()
    .references(() => platforms.id),
  title: text('title').notNull(),
  note: text('note').notNull(),
  createdAtMs: integer('created_at_ms').notNull(),
});

/** Canonical JSON by its SHA-256; equal contents are kept once. Immutable by trigger. */
export const contents = sqliteTable('contents', {
  hash: text('hash').primaryKey(),
  canonicalJson: text('canonical_json').notNull(),
});

/** Immutable by trigger. */
export const revisions = sqliteTable(
  'revisions',
  {
    id: text('id').primaryKey(),
    calibrationId: text('calibration_id')
      .notNull()
      .references(() => calibrations.id),
    number: integer('number').notNull(),
    /** Name of its line within the calibration; a line is continued from its newest revision. */
    line: text('line').notNull().default('main'),
    parentId: text('parent_id').references((): AnySQLiteColumn => revisions.id),
    /** Second parent, where two lines were merged. */
    mergeParentId: text('merge_parent_id').references((): AnySQLiteColumn => revisions.id),
    /** The earlier revision that it brought back. */
    revertsId: text('reverts_id').references((): AnySQLiteColumn => revisions.id),
    platformId: text('platform_id').notNull(),
    layoutVersion: integer('layout_version').notNull(),
    contentHash: text('content_hash')
      .notNull()
      .references(() => contents.hash),
    message: text('message').notNull(),
    authorId: text('author_id').references(() => people.id),
    /** As it was then. */
    authorName: text('author_name').notNull(),
    /** Everyone who had a hand in the draft: none of them may decide on it. */
    editorIds: text('editor_ids', { mode: 'json' }).$type<readonly string[]>().notNull().default([]),
    createdAtMs: integer('created_at_ms').notNull(),
  },
  (table) => [
    uniqueIndex('revisions_by_number').on(table.calibrationId, table.number),
    index('revisions_by_platform').on(table.platformId),
    index('revisions_by_line').on(table.calibrationId, table.line, table.number),
    index('revisions_by_content').on(table.contentHash),
    foreignKey({
      columns: [table.platformId, table.layoutVersion],
      foreignColumns: [layouts.platformId, layouts.version],
    }),
  ],
);
