import { z } from 'zod';
import { lineName, revisionContent, revisionSummary } from './calibrations.js';
import { hash, id, instant, longText, shortText } from './common.js';
import { finding } from './problem.js';

/** What a draft came from. */
export const DRAFT_ORIGINS = ['edit', 'import', 'merge', 'revert', 'migration', 'proposal'] as const;

/** Who may edit a draft now; it lapses by itself when its holder falls silent. */
export const draftLock = z.object({ personId: id, personName: z.string(), untilAt: instant });
export type DraftLock = z.infer<typeof draftLock>;

export const draftSummary = z.object({
  id,
  calibrationId: id,
  calibrationTitle: z.string(),
  platformId: id,
  layoutVersion: z.number().int(),
  title: z.string(),
  line: lineName,
  origin: z.enum(DRAFT_ORIGINS),
  originNote: z.string().describe('in words, for instance the file that was imported; may be empty'),
  parentId: id.nullable(),
  parentNumber: z.number().int().nullable(),
  mergeParentId: id.nullable(),
  mergeParentNumber: z.number().int().nullable(),
  version: z.number().int().describe('rises with every save; a save names the version it was made from'),
  lock: draftLock.nullable(),
  createdAt: instant,
  createdByName: z.string(),
  updatedAt: instant,
  updatedByName: z.string(),
});
export type DraftSummary = z.infer<typeof draftSummary>;
export const draftsResponse = z.object({ items: z.array(draftSummary) });

/** `contentHash` is that of the content as it stands; `findings` are checked against layout and parent. */
export const draftResponse = draftSummary.extend({
  content: revisionContent,
  contentHash: hash,
  findings: z.array(finding),
  parentContent: revisionContent.nullable().describe('in the layout of the draft; what steps are measured against'),
  isUnchanged: z.boolean().describe('equal to its parent'),
});
export type DraftResponse = z.infer<typeof draftResponse>;

export const createDraftRequest = z.object({
  title: shortText.optional(),
  parentId: id.nullable().describe('null: the defaults of the newest layout'),
  line: lineName
    .optional()
    .describe(
      'the line of the parent when absent; a line goes on from its newest revision, a new name begins a branch',
    ),
  layoutVersion: z.number().int().min(1).optional().describe('only without a parent'),
});

/** Answers 409 `draft.outdated` when another save came between, 409 `draft.locked` when another person edits. */
export const saveDraftRequest = z.object({ version: z.number().int(), content: revisionContent });
export const saveDraftResponse = z.object({
  version: z.number().int(),
  updatedAt: instant,
  contentHash: hash,
  findings: z.array(finding),
  lock: draftLock.nullable(),
});
export type SaveDraftResponse = z.infer<typeof saveDraftResponse>;

/** `take` also renews; `takeOver` takes it from somebody else, who is told at the next save. */
export const draftLockRequest = z.object({ action: z.enum(['take', 'takeOver', 'release']) });
/** What is left out stays. Another `line` makes a branch of a draft whose line went on (409 `revision.notNewest`). */
export const renameDraftRequest = z.object({ title: shortText.optional(), line: lineName.optional() });

/** Earlier saves, newest first; the server keeps the last hundred. */
export const draftSavesResponse = z.object({
  items: z.array(
    z.object({ version: z.number().int(), savedAt: instant, byName: z.string(), changedCells: z.number().int() }),
  ),
});
export type DraftSaves = z.infer<typeof draftSavesResponse>;
export const restoreDraftRequest = z.object({ version: z.number().int(), from: z.number().int() });

/** Freezes a draft into a revision. `contentHash` guards against freezing what was not seen. */
export const makeRevisionRequest = z.object({ message: shortText, contentHash: hash });

/** Which side a conflict is settled with, or a number of one's own for a cell. */
export const mergeConflict = z.object({
  id: z.string().describe('stable within the merge; choices name it'),
  tableId: z.string(),
  title: z.string(),
  unit: z.string(),
  variant: z.string().nullable().describe('null: the whole table with its break points'),
  cell: z.object({ row: z.number().int(), column: z.number().int() }).nullable(),
  place: z.string().describe('break points of the cell in words'),
  base: z.number().nullable(),
  ours: z.number().nullable(),
  theirs: z.number().nullable(),
});
export type MergeConflict = z.infer<typeof mergeConflict>;
export const mergeQuery = z.object({ ours: id, theirs: id });
export const mergeResponse = z.object({
  ours: revisionSummary,
  theirs: revisionSummary,
  base: revisionSummary.describe('nearest common ancestor'),
  takenFromOurs: z.number().int().describe('cells'),
  takenFromTheirs: z.number().int(),
  conflicts: z.array(mergeConflict),
});
export type MergeResponse = z.infer<typeof mergeResponse>;
export const createMergeRequest = z.object({
  oursId: id,
  theirsId: id,
  choices: z.record(z.string(), z.union([z.literal('ours'), z.literal('theirs'), z.number()])).default({}),
});

/** Brings the content of an earlier revision back as a draft on top of the newest of its line. */
export const revertRequest = z.object({
  onto: id.optional().describe('parent of the draft; the head of the line else'),
});

export const migrationQuery = z.object({
  to: z.coerce.number().int().min(1),
  renames: z.string().max(4000).optional().describe('pairs old:new, comma-separated'),
});
export const migrationStep = z.object({
  kind: z.string(),
  tableId: z.string(),
  title: z.string(),
  detail: z.string().describe('what happens, in words, with numbers and units'),
  largestError: z.number().nullable().describe('of resampling, in the unit of the table'),
  severity: z.enum(['note', 'warning', 'blocking']),
});
export const migrationResponse = z.object({
  fromVersion: z.number().int(),
  toVersion: z.number().int(),
  steps: z.array(migrationStep),
  findings: z.array(finding).describe('of the migrated content against the new layout'),
  isPossible: z.boolean(),
});
export type MigrationResponse = z.infer<typeof migrationResponse>;
export const createMigrationRequest = z.object({
  to: z.number().int().min(1),
  renames: z.record(z.string(), z.string()).default({}),
  line: lineName.optional().describe('a new name begins a branch'),
});

export const IMPORT_FORMATS = ['document', 'tables', 'intelHex', 'sRecord', 'binary'] as const;
export const EXPORT_FORMATS = ['document', 'csv', 'tsv', 'intelHex', 'sRecord', 'binary'] as const;
export const exportQuery = z.object({
  format: z.enum(EXPORT_FORMATS).default('document'),
  table: z.string().optional().describe('only for csv and tsv; all tables when absent'),
});
/** The file is the raw body. The format is recognised by its content. */
export const importQuery = z.object({
  fileName: z.string().trim().max(200).default('file'),
  parent: id.optional().describe('needed when the file has some tables only'),
  layoutVersion: z.coerce.number().int().min(1).optional().describe('newest of the platform when there is no parent'),
  line: lineName.optional(),
});
export const importProblem = z.object({
  line: z.number().int().nullable(),
  address: z.number().int().nullable(),
  tableId: z.string().nullable(),
  variant: z.string().nullable(),
  message: z.string(),
});
export type ImportProblem = z.infer<typeof importProblem>;

/** Detached: over the exact bytes of the canonical JSON of the content (route `/revisions/{id}/content`). */
export const signatureResponse = z.object({
  algorithm: z.literal('Ed25519'),
  keyId: z.string().describe('SHA-256 of the public key, first 16 hex digits'),
  signature: z.string().describe('base64'),
  contentHash: hash,
});
export const signingKeyResponse = z.object({
  algorithm: z.literal('Ed25519'),
  keyId: z.string(),
  publicKeyPem: z.string(),
  publicKeyHex: z.string().describe('32 bytes'),
});
export type SigningKey = z.infer<typeof signingKeyResponse>;

/** A schedule driven over a recorded drive: what it would have shifted, and how that differs from what was. */
export const scheduleReplayQuery = z.object({
  log: id,
  schedule: z.string(),
  against: id.optional().describe('another revision instead of what was recorded'),
  program: z.string().max(40).optional().describe('replay in this program whatever was recorded'),
});
export const scheduleReplayResponse = z.object({
  logId: id,
  scheduleId: z.string(),
  assumption: z.string(),
  recordedShifts: z.number().int(),
  replayedShifts: z.number().int(),
  moves: z.array(
    z.object({
      kind: z.string(),
      change: z.enum(['same', 'earlier', 'later', 'gone', 'new']),
      recordedS: z.number().nullable(),
      replayedS: z.number().nullable(),
      pedal: z.number().nullable(),
      outputSpeedRpm: z.number().nullable(),
    }),
  ),
});
export type ScheduleReplay = z.infer<typeof scheduleReplayResponse>;

export const REVIEW_STATES = ['open', 'approved', 'sentBack', 'withdrawn'] as const;
export const reviewState = z.enum(REVIEW_STATES);
export type ReviewState = z.infer<typeof reviewState>;

/** A review is of a hash: a decision names the content it was made on. */
export const review = z.object({
  id,
  revisionId: id,
  revisionLabel: z.string(),
  contentHash: hash,
  state: reviewState,
  note: z.string(),
  requestedByName: z.string(),
  requestedAt: instant,
  decidedByName: z.string().nullable(),
  decidedAt: instant.nullable(),
  reason: z.string().nullable(),
  mayDecide: z.boolean().describe('whether the caller may: not the author, nor who requested or edited it'),
  whyNot: z.string().nullable(),
});
export type Review = z.infer<typeof review>;
export const reviewListQuery = z.object({ state: reviewState.optional() });
export const reviewsResponse = z.object({ items: z.array(review) });
export const requestReviewRequest = z.object({ note: longText.default('') });
export const decideReviewRequest = z.object({
  decision: z.enum(['approved', 'sentBack', 'withdrawn']),
  contentHash: hash,
  reason: longText.describe('required to send back'),
});
export const comment = z.object({
  id,
  revisionId: id,
  tableId: z.string().nullable(),
  variant: z.string().nullable(),
  cell: z.object({ row: z.number().int(), column: z.number().int() }).nullable(),
  text: z.string(),
  byName: z.string(),
  isOwn: z.boolean(),
  createdAt: instant,
  resolvedAt: instant.nullable(),
  resolvedByName: z.string().nullable(),
});
export type Comment = z.infer<typeof comment>;
export const commentsResponse = z.object({ items: z.array(comment) });
export const createCommentRequest = z.object({
  tableId: z.string().nullable().default(null),
  variant: z.string().nullable().default(null),
  cell: z.object({ row: z.number().int(), column: z.number().int() }).nullable().default(null),
  text: longText.min(1),
});
export const resolveCommentRequest = z.object({ isResolved: z.boolean() });
