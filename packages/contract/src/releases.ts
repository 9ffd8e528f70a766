import { z } from 'zod';
import { hash, id, instant, pageOf, pageQuery } from './common.js';
import { EXPORT_FORMATS } from './drafts.js';
import { RELEASE_STATES } from './states.js';

export const releaseState = z.enum(RELEASE_STATES);
export type ReleaseState = z.infer<typeof releaseState>;

const words = (length: number) => z.string().trim().min(1).max(length);

/** A step of a release: so many cars, and the evidence that the next step needs. */
export const releaseStage = z.object({
  size: z.discriminatedUnion('kind', [
    z.object({ kind: z.literal('share'), share: z.number().positive().max(1) }),
    z.object({ kind: z.literal('cars'), cars: z.number().int().min(1).max(100_000) }),
  ]),
  minShifts: z.number().int().min(0).max(10_000_000),
  minVehicles: z.number().int().min(0).max(100_000),
});
export type ReleaseStage = z.infer<typeof releaseStage>;

const choices = z.array(words(120)).max(40).default([]);
/** Which cars of the platform it is for. An empty list asks for nothing. */
export const releaseCohort = z.object({
  dialects: choices.describe('verified bus dialects, any of them'),
  engines: choices.describe('parts of the engine as declared, any of them'),
  tags: choices.describe('any of them'),
  hardware: choices.describe('hardware revisions of the control unit; a car without a known unit is then left out'),
});
export type ReleaseCohort = z.infer<typeof releaseCohort>;

export const createReleaseRequest = z.object({
  revisionId: id,
  replacesId: id.nullable().describe('what it is compared with, and what cars go back to'),
  words: words(2000).describe('what changed, as the people who install it read it'),
  cohort: releaseCohort,
  stages: z.array(releaseStage).min(1).max(12),
  harmLimit: z
    .number()
    .min(0)
    .max(1)
    .default(0)
    .describe('rise of a rate that may not be exceeded, as a share of shifts'),
});

export const RELEASE_ACTS = ['start', 'widen', 'hold', 'resume', 'recall'] as const;
export const releaseAct = z.enum(RELEASE_ACTS);
export type ReleaseAct = z.infer<typeof releaseAct>;
export const releaseActRequest = z.object({
  act: releaseAct,
  reason: z.string().trim().max(1000).default('').describe('needed to hold, resume and recall'),
});

export const releaseListQuery = pageQuery.extend({ platform: id.optional(), state: releaseState.optional() });
export const releaseSummary = z.object({
  id,
  platformId: id,
  platformTitle: z.string(),
  revisionId: id,
  revisionLabel: z.string(),
  contentHash: hash,
  replacesId: id.nullable(),
  replacesLabel: z.string().nullable(),
  words: z.string(),
  state: releaseState,
  stage: z.number().int().describe('index into the stages'),
  stageCount: z.number().int(),
  taken: z.number().int().describe('cars that it was offered to'),
  installed: z.number().int().describe('of these, cars whose people say that they installed it'),
  driven: z.number().int().describe('of these, cars with shifts that are counted under the revision'),
  stateReason: z.string().describe('why it is held or was recalled; empty in any other state'),
  createdByName: z.string(),
  createdAt: instant,
});
export type ReleaseSummary = z.infer<typeof releaseSummary>;
export const releasePage = pageOf(releaseSummary);

export const GATE_REASONS = [
  'otherPlatform',
  'otherLayout',
  'layoutUnknown',
  'dialectNotCleared',
  'otherHardware',
  'hardwareUnknown',
  'notApproved',
  'notOffered',
  'held',
  'recalled',
] as const;
/** Why a revision may not go into a car. */
export const gateReason = z.object({ code: z.enum(GATE_REASONS), message: z.string() });
export type GateReason = z.infer<typeof gateReason>;

/** What a car runs: by its newest drive that says so, else by what was entered. */
export const carRuns = z.object({
  source: z.enum(['log', 'entered', 'none']),
  revisionId: id.nullable(),
  label: z.string().nullable().describe('as written in the file where the club has no such revision'),
  contentHash: z.string().nullable(),
  since: instant.nullable(),
  logId: id.nullable(),
  disagreement: z.string().nullable().describe('in words, where drive and entry differ'),
});
export type CarRuns = z.infer<typeof carRuns>;

export const RELEASE_ANSWERS = ['none', 'installed', 'failed'] as const;
export const releaseAnswer = z.enum(RELEASE_ANSWERS);

export const WATCH_VERDICTS = ['harm', 'doubtful', 'safe', 'open', 'insufficient'] as const;
export const watchVerdict = z.enum(WATCH_VERDICTS);
export type WatchVerdict = z.infer<typeof watchVerdict>;

/** One measure in all driving or in one load band. Changes and bounds are shares of shifts, newer minus replaced. */
export const partLook = z.object({
  measure: z.enum(['flare', 'harsh']),
  loadBand: z.number().int().nullable().describe('null is all driving'),
  kind: z.enum(['harm', 'safe', 'open', 'insufficient']),
  isDoubtful: z.boolean(),
  change: z.number().nullable(),
  low: z.number().nullable().describe('end of the always-valid bound'),
  high: z.number().nullable(),
  why: z.string().describe('what was missing where there is no figure'),
  olderShifts: z.number().int(),
  olderEvents: z.number().int(),
  newerShifts: z.number().int(),
  newerEvents: z.number().int(),
});
export type PartLook = z.infer<typeof partLook>;
export const releaseLook = z.object({
  at: instant,
  shifts: z.number().int().describe('under the released revision'),
  verdict: watchVerdict,
  parts: z.array(partLook),
});
export type ReleaseLook = z.infer<typeof releaseLook>;
export const releaseLooksResponse = z.object({
  items: z.array(releaseLook).describe('oldest first, the newest 400'),
  loadBands: z.array(z.string()).describe('their words, by index'),
  harmLimit: z.number(),
});
export type ReleaseLooksResponse = z.infer<typeof releaseLooksResponse>;

export const releaseEvent = z.object({
  id,
  kind: z.enum(['draft', 'start', 'widen', 'hold', 'resume', 'complete', 'recall', 'join', 'installed', 'failed']),
  stage: z.number().int(),
  reason: z.string(),
  byName: z.string(),
  at: instant,
});
export type ReleaseEvent = z.infer<typeof releaseEvent>;

export const releaseCar = z.object({
  vehicleId: id,
  title: z.string(),
  ownerName: z.string(),
  position: z.number().int().describe('in the order of the release, from 1'),
  stage: z.number().int().nullable().describe('that took it in; null for one that is still to come'),
  takenAt: instant.nullable(),
  mail: z.enum(['none', 'waiting', 'sent', 'failed']),
  downloads: z.number().int(),
  answer: releaseAnswer,
  answerNote: z.string(),
  answeredAt: instant.nullable(),
  runs: carRuns,
  runsIt: z.boolean(),
  reasons: z.array(gateReason).describe('why it may not have it now'),
});
export type ReleaseCar = z.infer<typeof releaseCar>;

export const releaseDownload = z.object({
  id,
  revisionLabel: z.string(),
  vehicleId: id,
  vehicleTitle: z.string(),
  personName: z.string(),
  contentHash: hash,
  fileSha256: hash,
  format: z.string(),
  at: instant,
});
export type ReleaseDownload = z.infer<typeof releaseDownload>;

export const releaseResponse = releaseSummary.extend({
  layoutVersion: z.number().int(),
  cohort: releaseCohort,
  harmLimit: z.number(),
  stages: z.array(releaseStage.extend({ cars: z.number().int().describe('of the cohort as it is now') })),
  cohortCount: z.number().int(),
  evidence: z.object({ shifts: z.number().int(), vehicles: z.number().int() }),
  acts: z.array(z.object({ act: releaseAct, whyNot: z.string().nullable().describe('null where it may be done now') })),
  lastLook: releaseLook.nullable(),
  cars: z.array(releaseCar),
  events: z.array(releaseEvent),
  downloads: z.array(releaseDownload).describe('newest first, at most 200'),
});
export type ReleaseResponse = z.infer<typeof releaseResponse>;

const list = z
  .string()
  .max(2000)
  .optional()
  .transform((text) => (text ? text.split(',').filter(Boolean) : []));
/** A cohort before it is a release: who would be in it, and what may be chosen. Lists have commas between. */
export const cohortQuery = z.object({ revision: id, dialects: list, engines: list, tags: list, hardware: list });
export const cohortResponse = z.object({
  cars: z.array(
    z.object({
      vehicleId: id,
      title: z.string(),
      ownerName: z.string(),
      isIn: z.boolean(),
      reasons: z.array(gateReason).describe('why it may not have the revision at all'),
    }),
  ),
  choices: z.object({
    dialects: z.array(z.string()),
    engines: z.array(z.string()),
    tags: z.array(z.string()),
    hardware: z.array(z.string()),
  }),
});
export type CohortResponse = z.infer<typeof cohortResponse>;

/**
 * What is offered to a car now. `install`: download and install it. `current`: the car runs it. `held`: wait, keep what
 * is in the car. `goBack`: what the car runs was recalled. `none`: nothing.
 */
export const OFFER_KINDS = ['none', 'install', 'current', 'held', 'goBack'] as const;
export const offerResponse = z.object({
  vehicleId: id,
  kind: z.enum(OFFER_KINDS),
  release: z
    .object({
      id,
      state: releaseState,
      revisionId: id,
      revisionLabel: z.string(),
      contentHash: hash,
      words: z.string(),
      reason: z.string().describe('why it is held or was recalled'),
      answer: releaseAnswer,
      answerNote: z.string(),
      answeredAt: instant.nullable(),
    })
    .nullable(),
  target: z
    .object({
      revisionId: id,
      revisionLabel: z.string(),
      contentHash: hash,
      layoutVersion: z.number().int(),
      signature: z.string().describe('Ed25519 over the content in canonical JSON, base64'),
      keyId: z.string(),
      formats: z.array(z.enum(EXPORT_FORMATS)),
    })
    .nullable()
    .describe('what to install'),
  reasons: z.array(gateReason).describe('why it may not be downloaded; empty where it may'),
  runs: carRuns,
  unit: z
    .object({ id, serial: z.string(), hardware: z.string(), firmware: z.string() })
    .nullable()
    .describe('control unit of the car'),
  unitRecalls: z.array(z.object({ id, words: z.string(), at: instant })),
});
export type OfferResponse = z.infer<typeof offerResponse>;

export const offerDownloadQuery = z.object({ format: z.enum(EXPORT_FORMATS).default('document') });
export const answerOfferRequest = z.object({
  answer: z.enum(['installed', 'failed']),
  contentHash: hash.describe('of what was installed, or was to be'),
  note: z.string().trim().max(500).default(''),
  at: instant.optional().describe('when it was installed; now when it is not said'),
});

export const setTagsRequest = z.object({ tags: z.array(words(40)).max(20) });
