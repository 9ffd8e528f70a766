import { z } from 'zod';
import { id, instant, shortText } from './common.js';
import { DIALECT_VERDICTS } from './states.js';

/** One signal inside the frames of a bus; see the README of drivelog. The answer shows what was entered. */
const bits = {
  startBit: z.number().int(),
  length: z.number().int(),
  byteOrder: z.enum(['little', 'big']),
};
export const busSignal = z.object({
  name: z.string(),
  identifier: z.number().int(),
  extended: z.boolean().optional(),
  ...bits,
  signed: z.boolean(),
  scale: z.number(),
  offset: z.number(),
  unit: z.string(),
  multiplexer: z.object({ ...bits, value: z.number().int() }).optional(),
  noValueRaw: z.array(z.number()).optional(),
});
export type BusSignalDocument = z.infer<typeof busSignal>;

/** The entries are judged one by one, so that each fault names its entry (`busSignals.invalid`). */
export const setBusSignalsRequest = z.object({ signals: z.array(z.unknown()) });
export const busSignalsResponse = z.object({
  platformId: id,
  dialectId: id,
  /** Null when none was entered yet. */
  list: z
    .object({ version: z.number().int(), signals: z.array(busSignal), enteredAt: instant, byName: z.string() })
    .nullable(),
});
export type BusSignalsResponse = z.infer<typeof busSignalsResponse>;

const MAX_STANDARD = 0x7ff;
const dialectIdentifier = z
  .object({
    identifier: z.number().int().min(0).max(0x1fffffff),
    isExtended: z.boolean(),
    periodS: z.number().positive().max(3600).nullable().describe('seconds between frames; null when sent on events'),
    periodSpread: z.number().min(0).max(2).describe('standard deviation of its logarithm from car to car'),
    lengths: z.array(z.number().int().min(0).max(64)).min(1).max(65).describe('payload lengths in bytes'),
    presence: z.number().min(0.01).max(0.999).describe('chance that a car of the dialect sends it at all'),
  })
  .refine(({ identifier, isExtended }) => isExtended || identifier <= MAX_STANDARD, {
    path: ['identifier'],
    message: `A standard identifier is at most ${MAX_STANDARD}`,
  });

export const setDialectProfileRequest = z.object({ identifiers: z.array(dialectIdentifier).min(1).max(2048) });
export const learnDialectRequest = z.object({
  captureIds: z.array(id).min(1).max(100).describe('logs that are captures of cars confirmed to speak the dialect'),
});
export const dialectProfileResponse = z.object({
  platformId: id,
  dialectId: id,
  /** Null when nothing is known of the dialect yet. */
  profile: z
    .object({
      version: z.number().int(),
      identifiers: z.array(dialectIdentifier),
      captureCount: z.number().int(),
      captureIds: z.array(id).describe('captures it was learned from; empty when it was entered'),
      enteredAt: instant,
      byName: z.string(),
    })
    .nullable(),
});
export type DialectProfileResponse = z.infer<typeof dialectProfileResponse>;

export const addDialectRequest = z.object({
  id: z.string().regex(/^[a-z0-9][a-z0-9-]{0,39}$/, 'lower-case letters, digits and hyphens'),
  title: shortText,
});

const verdict = z.enum(DIALECT_VERDICTS);

/** Captures of a platform, newest first, for the choice which to learn from. */
export const platformCapturesResponse = z.object({
  items: z.array(
    z.object({
      logId: id,
      fileName: z.string(),
      uploadedAt: instant,
      vehicleId: id,
      vehicleTitle: z.string(),
      declaredDialect: z.string().nullable(),
      observedDialect: z.string().nullable(),
      verdict,
      frames: z.number().int(),
      durationS: z.number(),
      identifierCount: z.number().int(),
    }),
  ),
});
export type PlatformCapture = z.infer<typeof platformCapturesResponse>['items'][number];

/** `unexpected` is not in the profile, `missing` was not met in the capture. */
const disagreement = z.object({
  kind: z.enum(['missing', 'unexpected', 'period', 'length']),
  identifier: z.string().describe('hexadecimal, three digits standard and eight extended'),
  expected: z.string(),
  found: z.string(),
});
const captureScore = z.object({
  dialect: z.string(),
  profileVersion: z.number().int(),
  logLikelihood: z.number().describe('only differences between dialects mean anything'),
  matched: z.number().int(),
  agreement: z.number().min(0).max(1),
  disagreementCount: z.number().int(),
  disagreements: z.array(disagreement).describe('at most 100'),
});
/** What a bus capture says of the dialect of its car. */
export const captureCheck = z.object({
  logId: id,
  fileName: z.string(),
  uploadedAt: instant,
  checkedAt: instant,
  declaredDialect: z.string().nullable().describe('when it was first checked'),
  observed: z.string().nullable(),
  doubt: z.enum(['too_little', 'none_known', 'no_fit', 'fit_alike']).nullable(),
  verdict,
  reason: z.string(),
  margin: z.number().nullable().describe('lead of the best over the second dialect in log-likelihood'),
  busInterface: z.string().nullable(),
  frames: z.number().int(),
  durationS: z.number(),
  identifierCount: z.number().int(),
  /** Best first. */
  scores: z.array(captureScore),
});
export type CaptureCheck = z.infer<typeof captureCheck>;

export const dialectDecision = z.object({
  id,
  decision: z.enum(['accept', 'refuse']),
  reason: z.string(),
  declaredDialect: z.string().nullable(),
  observedDialect: z.string().nullable(),
  byName: z.string(),
  decidedAt: instant,
  lapsedAt: instant.nullable().describe('when declared or observed dialect changed; null while it holds'),
});
export const decideDialectRequest = z.object({ decision: z.enum(['accept', 'refuse']), reason: shortText });

/** Everything that is known of the dialect of a car. */
export const vehicleDialectResponse = z.object({
  declaredDialect: z.string().nullable(),
  observedDialect: z.string().nullable(),
  verdict,
  isCleared: z.boolean().describe('whether the car may be offered a revision as far as its dialect goes'),
  reason: z.string().describe('why, and what would clear it'),
  /** Newest first. */
  decisions: z.array(dialectDecision),
  /** Newest upload first, at most 50; scores of the best and of the declared dialect. */
  checks: z.array(captureCheck),
});
export type VehicleDialectResponse = z.infer<typeof vehicleDialectResponse>;
