import { z } from 'zod';
import { fileName, hash, id, instant, pageOf, pageQuery, shortText } from './common.js';
import { captureCheck } from './dialects.js';
import { LOG_STATES } from './states.js';
import { twinLog } from './uploads.js';

export const TIME_FORMATS = ['seconds', 'milliseconds', 'microseconds', 'iso8601', 'clock'] as const;
export const signalMap = z.object({
  time: z.object({ column: z.string(), format: z.enum(TIME_FORMATS) }),
  signals: z
    .array(
      z.object({
        signal: z.string(),
        column: z.string(),
        unit: z.string(),
        factor: z.number().optional(),
        offset: z.number().optional(),
        codes: z
          .record(z.string().max(60), z.number().nullable())
          .optional()
          .describe('meaning of certain cells of a state, as written; null is “no value”'),
      }),
    )
    .max(40),
});
export type SignalMapDocument = z.infer<typeof signalMap>;

export const LOG_FORMATS = ['csv', 'jsonLines', 'candump', 'mdf'] as const;
/** A car has one map for each format of files that it sends. */
export const logFormat = z.enum(LOG_FORMATS);
export type LogFormat = z.infer<typeof logFormat>;
export const signalMapQuery = z.object({ format: logFormat.default('csv') });
export const signalMapResponse = z.object({
  vehicleId: id,
  format: logFormat,
  map: signalMap.nullable(),
  updatedAt: instant.nullable(),
  /** Formats that have a map. */
  mappedFormats: z.array(logFormat),
});

/** What the reader understood of a file before anything of it is believed. */
export const inspection = z.object({
  format: logFormat,
  delimiter: z.string().nullable(),
  decimalMark: z.string().nullable(),
  columns: z.array(z.object({ name: z.string(), unit: z.string().nullable() })),
  firstRows: z.array(z.array(z.string())),
  suggestion: signalMap.nullable(),
  reasons: z.array(z.string()),
});
export type Inspection = z.infer<typeof inspection>;

export const logState = z.enum(LOG_STATES);
export type LogState = z.infer<typeof logState>;

export const uploadQuery = z.object({
  vehicle: id,
  fileName,
  drivenAt: instant.optional(),
  revision: id.optional().describe('what the car ran; else what is installed at that time'),
  sha256: hash.optional(),
});
export const gradeCounts = z.record(z.string(), z.number().int());
export const logSummary = z.object({
  id,
  vehicleId: id,
  vehicleTitle: z.string(),
  fileName: z.string(),
  sizeBytes: z.number().int(),
  sha256: hash,
  uploadedAt: instant,
  drivenAt: instant,
  revisionId: id.nullable(),
  revisionLabel: z.string().nullable(),
  state: logState,
  progress: z.number().min(0).max(1),
  durationS: z.number().nullable(),
  shiftCount: z.number().int(),
  grades: gradeCounts,
  problem: z.object({ code: z.string(), detail: z.string(), remedy: z.string() }).nullable(),
  showsEarlier: z.boolean().describe('not ready, yet the shifts of an analysis before are shown and count'),
});
export type LogSummary = z.infer<typeof logSummary>;
export const logPage = pageOf(logSummary);
export const logListQuery = pageQuery.extend({
  vehicle: id.optional(),
  state: logState.optional(),
  revision: id.optional(),
});
export const uploadResponse = z.object({ log: logSummary, isDuplicate: z.boolean(), twin: twinLog.nullable() });

export const sampleFindings = z.object({
  sampleCount: z.number().int(),
  durationS: z.number(),
  medianIntervalS: z.number().nullable().describe('null below two samples'),
  gaps: z.number().int(),
  longestGapS: z.number(),
  repeatedTimes: z.number().int(),
  stepsBack: z.number().int(),
  unreadableRatioS: z.number(),
  missingSignals: z.array(z.string()),
});
/** What the reader left out or could not read, with the first places. */
export const readFindings = z.object({
  rowCount: z.number().int(),
  damagedRowCount: z.number().int(),
  damagedRows: z.array(
    z.object({ line: z.number().int(), column: z.string().nullable(), found: z.string(), expected: z.string() }),
  ),
  missingValues: z.record(z.string(), z.number().int()),
  remarks: z.array(z.string()),
});
const signalName = z.string();
/** How a log was sampled and put together, and what is doubtful about its values. */
export const logQuality = z.object({
  timing: z.object({
    rateHz: z.number().nullable(),
    jitter: z.number().nullable().describe('half the distance of the quartiles of the intervals over their median'),
    longestIntervalS: z.number(),
    gaps: z.number().int(),
    repeatedTimes: z.number().int(),
    stepsBack: z.number().int(),
    longestStepBackS: z.number(),
    suitability: z.enum(['good', 'coarse', 'unsuitable']),
    reason: z.string(),
  }),
  /** How signals of different rates came together; null where each row holds all of them. */
  join: z
    .object({
      base: signalName.nullable().describe('the signal whose moments are the time base'),
      signals: z.array(
        z.object({
          signal: signalName,
          rule: z.enum(['linear', 'hold']),
          sampleCount: z.number().int(),
          largestGapS: z.number(),
          largestGapStartS: z.number().nullable(),
        }),
      ),
    })
    .nullable(),
  bus: z
    .object({
      frames: z.number().int(),
      readFrames: z.number().int(),
      remoteFrames: z.number().int(),
      errorFrames: z.number().int(),
      otherBusFrames: z.number().int(),
      shortFrames: z.number().int(),
    })
    .nullable(),
  findings: z.array(
    z.object({
      code: z.string(),
      signal: signalName,
      severity: z.enum(['error', 'warning']),
      message: z.string(),
      effect: z.string(),
    }),
  ),
});
export type LogQuality = z.infer<typeof logQuality>;

export const logResponse = logSummary.extend({
  ownerName: z.string(),
  originalRemovedAt: instant.nullable().describe('when the original was removed on purpose'),
  stated: z
    .object({
      text: z.string().describe('as written'),
      revisionId: id.nullable().describe('the revision that it names; null when it names none of the platform'),
    })
    .nullable()
    .describe('what the file itself says that the control unit ran; null when it does not say'),
  signals: z.array(z.object({ signal: z.string(), title: z.string(), unit: z.string() })),
  analysisVersion: z.number().int().nullable(),
  policyVersion: z.number().int().nullable(),
  sampleFindings: sampleFindings.nullable(),
  readFindings: readFindings.nullable(),
  inspection: inspection.nullable(),
  quality: logQuality.nullable(),
  capture: captureCheck.nullable().describe('only of logs that are bus captures'),
});
export type LogResponse = z.infer<typeof logResponse>;

export const signalsQuery = z.object({
  signals: z.string().max(400).describe('comma-separated signal ids'),
  from: z.coerce.number().optional(),
  to: z.coerce.number().optional(),
  points: z.coerce.number().int().min(10).max(4000).default(1000),
});
/** Columns aligned with `timeS`; null where missing. `isRaw`: every sample; else minimum and maximum per bucket. */
export const signalsResponse = z.object({
  fromS: z.number(),
  toS: z.number(),
  isRaw: z.boolean(),
  samplesPerPoint: z.number(),
  timeS: z.array(z.number()),
  series: z.array(
    z.object({
      signal: z.string(),
      title: z.string(),
      unit: z.string(),
      min: z.array(z.number().nullable()),
      max: z.array(z.number().nullable()),
    }),
  ),
});
export type SignalsResponse = z.infer<typeof signalsResponse>;

export const note = z.object({
  id,
  atS: z.number(),
  text: z.string(),
  byName: z.string(),
  isOwn: z.boolean().describe('whether the caller wrote it and may change it'),
  createdAt: instant,
  editedAt: instant.nullable(),
});
export type Note = z.infer<typeof note>;
export const notesResponse = z.object({ items: z.array(note) });
export const createNoteRequest = z.object({ atS: z.number(), text: shortText });
export const editNoteRequest = createNoteRequest.partial();
