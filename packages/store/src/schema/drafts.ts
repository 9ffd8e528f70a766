import { blob, foreignKey, index, integer, primaryKey, sqliteTable, text } from 'drizzle-orm/sqlite-core';
import { calibrations, revisions } from './calibrations.js';
import { people } from './people.js';
import { layouts } from './platforms.js';

/** Content on its way to a revision. One that was made into a revision is immutable by trigger. */
export const drafts = sqliteTable(
  'drafts',
  {
    id: text('id').primaryKey(),
    calibrationId: text('calibration_id')
      .notNull()
      .references(() => calibrations.id),
    platformId: text('platform_id').notNull(),
    layoutVersion: integer('layout_version').notNull(),
    title: text('title').notNull(),
    line: text('line').notNull(),
    origin: text('origin', { enum: ['edit', 'import', 'merge', 'revert', 'migration', 'proposal'] }).notNull(),
    originNote: text('origin_note').notNull(),
    parentId: text('parent_id').references(() => revisions.id),
    mergeParentId: text('merge_parent_id').references(() => revisions.id),
    revertsId: text('reverts_id').references(() => revisions.id),
    /** Canonical JSON, as in `contents`; not yet kept there. */
    canonicalJson: text('canonical_json').notNull(),
    contentHash: text('content_hash').notNull(),
    /** What steps are measured against where that is not the parent's own content: the parent in another layout. */
    baselineJson: text('baseline_json'),
    /** Rises with every save. */
    version: integer('version').notNull(),
    state: text('state', { enum: ['open', 'made', 'discarded'] }).notNull(),
    /** The revision it was made into. */
    revisionId: text('revision_id').references(() => revisions.id),
    lockedById: text('locked_by_id').references(() => people.id),
    lockedUntilMs: integer('locked_until_ms'),
    createdAtMs: integer('created_at_ms').notNull(),
    createdByName: text('created_by_name').notNull(),
    updatedAtMs: integer('updated_at_ms').notNull(),
    updatedByName: text('updated_by_name').notNull(),
    /** Everyone who had a hand in it. */
    editorIds: text('editor_ids', { mode: 'json' }).$type<readonly string[]>().notNull(),
  },
  (table) => [
    index('drafts_by_calibration').on(table.calibrationId, table.state, table.id),
    foreignKey({
      columns: [table.platformId, table.layoutVersion],
      foreignColumns: [layouts.platformId, layouts.version],
    }),
  ],
);

/** The newest saves of each draft. The content is canonical JSON, deflated: a save follows a save every few seconds. */
export const draftSaves = sqliteTable(
  'draft_saves',
  {
    draftId: text('draft_id')
      .notNull()
      .references(() => drafts.id),
    version: integer('version').notNull(),
    deflatedJson: blob('deflated_json', { mode: 'buffer' }).notNull(),
    changedCells: integer('changed_cells').notNull(),
    savedAtMs: integer('saved_at_ms').notNull(),
    byName: text('by_name').notNull(),
  },
  (table) => [primaryKey({ columns: [table.draftId, table.version] })],
);
