import { blob, index, integer, primaryKey, sqliteTable, text, uniqueIndex } from 'drizzle-orm/sqlite-core';
import type {
  AdaptationDocument,
  ProposalInputs,
  ProposalPolicyDocument,
  ProposalTally,
  TrimDocument,
} from '../proposals/proposals.js';
import { calibrations, revisions } from './calibrations.js';
import { drafts } from './drafts.js';
import { vehicles } from './vehicles.js';

/**
 * Counts every change of what a car has shown under a revision: its shifts and its adaptation values. A number stands
 * for one state of that evidence.
 */
export const vehicleEvidence = sqliteTable(
  'vehicle_evidence',
  {
    vehicleId: text('vehicle_id').notNull(),
    revisionId: text('revision_id').notNull(),
    version: integer('version').notNull(),
  },
  (table) => [
    primaryKey({ columns: [table.vehicleId, table.revisionId] }),
    index('vehicle_evidence_by_revision').on(table.revisionId),
  ],
);

/** Moments of a car's shifts under a revision, deflated; out of date once its evidence has another version. */
export const vehicleMoments = sqliteTable(
  'vehicle_moments',
  {
    vehicleId: text('vehicle_id').notNull(),
    revisionId: text('revision_id').notNull(),
    subject: text('subject').notNull(),
    evidenceVersion: integer('evidence_version').notNull(),
    /** Of the moments by this program; another one makes them anew. */
    estimatorVersion: integer('estimator_version').notNull(),
    /** Of the bytes before deflating. */
    sha256: text('sha256').notNull(),
    shiftCount: integer('shift_count').notNull(),
    versions: text('versions', { mode: 'json' }).$type<readonly string[]>().notNull(),
    deflated: blob('deflated', { mode: 'buffer' }).notNull(),
    /** Rows of the shifts that the moments are sums of; null in moments of an earlier program. */
    deflatedRows: blob('deflated_rows', { mode: 'buffer' }),
  },
  (table) => [primaryKey({ columns: [table.vehicleId, table.revisionId, table.subject] })],
);

/** What is to be changed in a revision, from the shifts of the fleet. Immutable by trigger once it is made. */
export const proposals = sqliteTable(
  'proposals',
  {
    id: text('id').primaryKey(),
    calibrationId: text('calibration_id')
      .notNull()
      .references(() => calibrations.id),
    baseRevisionId: text('base_revision_id')
      .notNull()
      .references(() => revisions.id),
    subject: text('subject').notNull(),
    policy: text('policy', { mode: 'json' }).$type<ProposalPolicyDocument>().notNull(),
    inputs: text('inputs', { mode: 'json' }).$type<ProposalInputs>().notNull(),
    /** SHA-256 of the inputs as canonical JSON. */
    inputHash: text('input_hash').notNull(),
    state: text('state', { enum: ['waiting', 'ready', 'failed'] }).notNull(),
    problem: text('problem'),
    isByItself: integer('is_by_itself', { mode: 'boolean' }).notNull(),
    requestedAtMs: integer('requested_at_ms').notNull(),
    requestedByName: text('requested_by_name').notNull(),
    madeAtMs: integer('made_at_ms'),
    tally: text('tally', { mode: 'json' }).$type<ProposalTally>(),
    /** SHA-256 of the result as canonical JSON. */
    resultHash: text('result_hash'),
    deflatedResult: blob('deflated_result', { mode: 'buffer' }),
  },
  (table) => [
    uniqueIndex('proposals_by_input').on(table.inputHash),
    index('proposals_by_calibration').on(table.calibrationId, table.id),
  ],
);

/** What a proposal says of each car. */
export const proposalVehicles = sqliteTable(
  'proposal_vehicles',
  {
    proposalId: text('proposal_id')
      .notNull()
      .references(() => proposals.id),
    vehicleId: text('vehicle_id')
      .notNull()
      .references(() => vehicles.id),
    trim: text('trim', { mode: 'json' }).$type<TrimDocument>().notNull(),
  },
  (table) => [
    primaryKey({ columns: [table.proposalId, table.vehicleId] }),
    index('proposal_vehicles_by_vehicle').on(table.vehicleId, table.proposalId),
  ],
);

/** What became of a proposal: drafts that took from it, or its rejection. Append only. */
export const proposalDecisions = sqliteTable(
  'proposal_decisions',
  {
    id: text('id').primaryKey(),
    proposalId: text('proposal_id')
      .notNull()
      .references(() => proposals.id),
    decision: text('decision', { enum: ['drafted', 'rejected'] }).notNull(),
    draftId: text('draft_id').references(() => drafts.id),
    takenNodes: integer('taken_nodes').notNull(),
    reason: text('reason').notNull(),
    byName: text('by_name').notNull(),
    decidedAtMs: integer('decided_at_ms').notNull(),
  },
  (table) => [
    index('proposal_decisions_by_proposal').on(table.proposalId, table.id),
    index('proposal_decisions_by_draft').on(table.draftId),
  ],
);

/** Predicted grades of a proposal on simulated cars. One for each proposal, replaced when it is run again. */
export const proposalPreviews = sqliteTable('proposal_previews', {
  proposalId: text('proposal_id')
    .primaryKey()
    .references(() => proposals.id),
  madeAtMs: integer('made_at_ms').notNull(),
  document: text('document', { mode: 'json' }).$type<unknown>().notNull(),
});

/** The same of a draft against the newest revision that it comes from and that was driven, as the draft stood then. */
export const draftPreviews = sqliteTable('draft_previews', {
  draftId: text('draft_id')
    .primaryKey()
    .references(() => drafts.id),
  /** Of the content that was tried. */
  contentHash: text('content_hash').notNull(),
  madeAtMs: integer('made_at_ms').notNull(),
  document: text('document', { mode: 'json' }).$type<unknown>().notNull(),
});

/** Values that a car's control unit has learnt, as they were read out of it. */
export const adaptations = sqliteTable(
  'adaptations',
  {
    id: text('id').primaryKey(),
    vehicleId: text('vehicle_id')
      .notNull()
      .references(() => vehicles.id),
    revisionId: text('revision_id')
      .notNull()
      .references(() => revisions.id),
    readAtMs: integer('read_at_ms').notNull(),
    note: text('note').notNull(),
    document: text('document', { mode: 'json' }).$type<AdaptationDocument>().notNull(),
    byName: text('by_name').notNull(),
    createdAtMs: integer('created_at_ms').notNull(),
  },
  (table) => [index('adaptations_by_vehicle').on(table.vehicleId, table.revisionId, table.readAtMs)],
);
