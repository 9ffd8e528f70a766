import type { SignalId } from '@syncline/drivelog';
import type { SampleFindings } from '@syncline/shifts';
import { index, integer, real, sqliteTable, text, uniqueIndex } from 'drizzle-orm/sqlite-core';
import type { InspectionDocument, LogQualityDocument, ReadFindingsDocument } from '../logs/logs.js';
import { revisions } from './calibrations.js';
import { people } from './people.js';
import { vehicles } from './vehicles.js';

/** Files of the blob folder. A row is written after its bytes are safely in place, never before. */
export const blobs = sqliteTable('blobs', {
  sha256: text('sha256').primaryKey(),
  sizeBytes: integer('size_bytes').notNull(),
  storedBytes: integer('stored_bytes').notNull(),
  encoding: text('encoding', { enum: ['gzip', 'stored'] }).notNull(),
  createdAtMs: integer('created_at_ms').notNull(),
  /** When the file was removed on purpose: its time was over, or its people asked. Null while it is there. */
  removedAtMs: integer('removed_at_ms'),
});

export const logs = sqliteTable(
  'logs',
  {
    id: text('id').primaryKey(),
    vehicleId: text('vehicle_id')
      .notNull()
      .references(() => vehicles.id),
    revisionId: text('revision_id').references(() => revisions.id),
    sha256: text('sha256')
      .notNull()
      .references(() => blobs.sha256),
    fileName: text('file_name').notNull(),
    uploadedAtMs: integer('uploaded_at_ms').notNull(),
    drivenAtMs: integer('driven_at_ms').notNull(),
    state: text('state', {
      enum: ['waiting', 'awaitingMap', 'decoding', 'analysing', 'ready', 'refused', 'failed'],
    }).notNull(),
    progress: real('progress').notNull(),
    durationS: real('duration_s'),
    /** What the file says that the control unit ran, as written. */
    statedCalibration: text('stated_calibration'),
    /** The revision that it names, where there is one. */
    statedRevisionId: text('stated_revision_id').references(() => revisions.id),
    problemCode: text('problem_code'),
    problemDetail: text('problem_detail'),
    problemRemedy: text('problem_remedy'),
  },
  (table) => [
    uniqueIndex('logs_by_bytes').on(table.vehicleId, table.sha256),
    index('logs_by_drive').on(table.drivenAtMs, table.id),
    index('logs_by_vehicle').on(table.vehicleId, table.drivenAtMs),
    index('logs_by_revision').on(table.revisionId),
    index('logs_by_state').on(table.state),
    index('logs_by_blob').on(table.sha256),
  ],
);

/** What the newest analysis of a log left beside its shifts. */
export const logArtefacts = sqliteTable('log_artefacts', {
  logId: text('log_id')
    .primaryKey()
    .references(() => logs.id),
  analysisVersion: integer('analysis_version'),
  policyVersion: integer('policy_version'),
  signalFile: text('signal_file'),
  signalIds: text('signal_ids', { mode: 'json' }).$type<readonly SignalId[]>().notNull(),
  sampleFindings: text('sample_findings', { mode: 'json' }).$type<SampleFindings>(),
  readFindings: text('read_findings', { mode: 'json' }).$type<ReadFindingsDocument>(),
  inspection: text('inspection', { mode: 'json' }).$type<InspectionDocument>(),
  quality: text('quality', { mode: 'json' }).$type<LogQualityDocument>(),
  /** Presses of the marker button, in seconds of the log. */
  marks: text('marks', { mode: 'json' }).$type<readonly number[]>().notNull().default([]),
});

export const lockUps = sqliteTable(
  'lock_ups',
  {
    id: text('id').primaryKey(),
    logId: text('log_id')
      .notNull()
      .references(() => logs.id),
    startIndex: integer('start_index').notNull(),
    endIndex: integer('end_index').notNull(),
    commandS: real('command_s').notNull(),
    madeS: real('made_s'),
    releasedS: real('released_s'),
    gear: integer('gear'),
    timeToLockS: real('time_to_lock_s'),
    steadySlipRpm: real('steady_slip_rpm'),
    overshootRpm: real('overshoot_rpm'),
    judderRpm: real('judder_rpm'),
    verdict: text('verdict', { enum: ['made', 'slow', 'notMade', 'lost', 'cut'] }).notNull(),
    shiftsInside: integer('shifts_inside').notNull(),
  },
  (table) => [index('lock_ups_by_log').on(table.logId)],
);

export const notes = sqliteTable(
  'notes',
  {
    id: text('id').primaryKey(),
    logId: text('log_id')
      .notNull()
      .references(() => logs.id),
    atS: real('at_s').notNull(),
    text: text('text').notNull(),
    /** Null for a note from before authors were kept: nobody's to change. */
    byId: text('by_id').references(() => people.id),
    byName: text('by_name').notNull(),
    createdAtMs: integer('created_at_ms').notNull(),
    editedAtMs: integer('edited_at_ms'),
  },
  (table) => [index('notes_by_log').on(table.logId, table.atS)],
);
