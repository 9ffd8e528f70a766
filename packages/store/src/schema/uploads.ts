import { index, integer, sqliteTable, text } from 'drizzle-orm/sqlite-core';
import type { Actor } from '../actor.js';
import { revisions } from './calibrations.js';
import { blobs, logs } from './logs.js';
import { people } from './people.js';
import { vehicles } from './vehicles.js';

/** Files that come in pieces. Their bytes lie in the folder `uploads` under the id until they are whole. */
export const uploads = sqliteTable(
  'uploads',
  {
    id: text('id').primaryKey(),
    personId: text('person_id')
      .notNull()
      .references(() => people.id),
    vehicleId: text('vehicle_id')
      .notNull()
      .references(() => vehicles.id),
    fileName: text('file_name').notNull(),
    sizeBytes: integer('size_bytes').notNull(),
    drivenAtMs: integer('driven_at_ms'),
    revisionId: text('revision_id').references(() => revisions.id),
    sha256: text('sha256'),
    headSha256: text('head_sha256'),
    startedBy: text('started_by', { mode: 'json' }).$type<Actor>().notNull(),
    state: text('state', { enum: ['receiving', 'done', 'refused'] }).notNull(),
    logId: text('log_id').references(() => logs.id, { onDelete: 'cascade' }),
    isDuplicate: integer('is_duplicate', { mode: 'boolean' }),
    problemCode: text('problem_code'),
    problemDetail: text('problem_detail'),
    problemRemedy: text('problem_remedy'),
    createdAtMs: integer('created_at_ms').notNull(),
    expiresAtMs: integer('expires_at_ms').notNull(),
  },
  (table) => [
    index('uploads_by_person').on(table.personId, table.createdAtMs),
    index('uploads_by_vehicle').on(table.vehicleId, table.state),
    index('uploads_by_log').on(table.logId),
    index('uploads_by_end').on(table.expiresAtMs),
  ],
);

/** What packed files hold, by the hash of the unpacked bytes: tells that a drive came both packed and plain. */
export const packedContents = sqliteTable('packed_contents', {
  sha256: text('sha256')
    .primaryKey()
    .references(() => blobs.sha256, { onDelete: 'cascade' }),
  contentSha256: text('content_sha256').notNull(),
});
