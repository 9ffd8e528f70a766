import { z } from 'zod';
import { hash, id, instant, longText, pageOf, rate, shortText } from './common.js';
import { finding } from './problem.js';
import { OUTCOME_MEASURES } from './states.js';

/** The name of a line of revisions within a calibration; every calibration begins with `main`. */
export const lineName = z
  .string()
  .trim()
  .regex(/^[a-z0-9][a-z0-9-]{0,39}$/, 'lower-case letters, digits and hyphens');

export const revisionContent = z.object({
  platformId: z.string(),
  layoutVersion: z.number().int().min(1),
  tables: z.record(
    z.string(),
    z.object({ axes: z.array(z.array(z.number())).max(2), values: z.record(z.string(), z.array(z.number())) }),
  ),
});
export type RevisionContentDocument = z.infer<typeof revisionContent>;

export const revisionSummary = z.object({
  id,
  calibrationId: id,
  calibrationTitle: z.string(),
  number: z.number().int(),
  parentId: id.nullable(),
  mergeParentId: id.nullable().describe('second parent, where two lines were merged'),
  revertsId: id.nullable().describe('the earlier revision that it brought back'),
  line: z.string().describe('name of its line within the calibration'),
  reviewState: z.enum(['none', 'open', 'approved', 'sentBack']).describe('of this content'),
  authorName: z.string(),
  message: z.string(),
  contentHash: hash,
  createdAt: instant,
  platformId: id,
  layoutVersion: z.number().int(),
  vehicleCount: z.number().int().describe('vehicles that run it now'),
  logCount: z.number().int(),
  shiftCount: z.number().int(),
});
export type RevisionSummary = z.infer<typeof revisionSummary>;

/** Outcome of one revision over every shift driven with it. */
export const revisionOutcome = z.object({ flare: rate, tieUp: rate, harsh: rate, slow: rate, clean: rate });
export type RevisionOutcome = z.infer<typeof revisionOutcome>;

export const calibrationSummary = z.object({
  id,
  title: z.string(),
  platformId: id,
  platformTitle: z.string(),
  revisionCount: z.number().int(),
  newestRevisionNumber: z.number().int().nullable(),
  vehicleCount: z.number().int(),
  createdAt: instant,
});
export type CalibrationSummary = z.infer<typeof calibrationSummary>;
export const calibrationPage = pageOf(calibrationSummary);
export const createCalibrationRequest = z.object({ title: shortText, platformId: id, note: longText.default('') });

export const calibrationResponse = calibrationSummary.extend({
  note: z.string(),
  revisions: z.array(revisionSummary.extend({ outcome: revisionOutcome, parentNumber: z.number().int().nullable() })),
  installations: z.array(
    z.object({
      vehicleId: id,
      vehicleTitle: z.string(),
      revisionId: id,
      revisionNumber: z.number().int(),
      sinceAt: instant,
    }),
  ),
});
export type CalibrationResponse = z.infer<typeof calibrationResponse>;

/** Whole content at once, as scripts make it; people go by a draft. The parent may be any revision of the calibration. */
export const createRevisionRequest = z.object({
  parentId: id.nullable(),
  line: lineName.optional().describe('that of the parent when absent; `main` without one'),
  message: shortText,
  content: revisionContent,
});
export const revisionResponse = revisionSummary.extend({
  content: revisionContent,
  findings: z.array(finding),
  outcome: revisionOutcome,
});
export type RevisionResponse = z.infer<typeof revisionResponse>;

/** Evidence per cell of one table: the shifts nearest to that node, under this revision. */
export const cellEvidence = z.object({
  row: z.number().int(),
  column: z.number().int(),
  shifts: z.number().int(),
  vehicles: z.number().int(),
  flare: rate,
  tieUp: rate,
});
export const evidenceQuery = z.object({ table: z.string(), variant: z.string() });
export const evidenceResponse = z.object({ tableId: z.string(), variant: z.string(), cells: z.array(cellEvidence) });
export type EvidenceResponse = z.infer<typeof evidenceResponse>;

/** For tables, either may be a draft, written `draft:<id>`. */
export const compareQuery = z.object({ base: id, other: id });
export const compareTableQuery = compareQuery.extend(evidenceQuery.shape);
const cellChange = z.object({
  position: z.number().int().describe('row-major, on the axes of the other revision'),
  absolute: z.number(),
  percent: z.number().nullable().describe('of the base; null where that is 0'),
});
export const tableChange = z.object({
  tableId: z.string(),
  title: z.string(),
  unit: z.string(),
  variant: z.string(),
  cells: z.number().int(),
  changedCells: z.number().int(),
  largestAbsolute: cellChange,
  largestPercent: cellChange.nullable(),
  isResampled: z.boolean().describe('break points differ: the base is read off at those of the other revision'),
});
export type TableChange = z.infer<typeof tableChange>;
export const tableDifference = tableChange.extend({
  axes: z.array(
    z.object({ quantity: z.string(), title: z.string(), unit: z.string(), breakpoints: z.array(z.number()) }),
  ),
  baseValues: z.array(z.number()).describe('on the axes of the other revision'),
  otherValues: z.array(z.number()),
  absolute: z.array(z.number()),
  percent: z.array(z.number().nullable()),
});
export type TableDifference = z.infer<typeof tableDifference>;
export const commandedMapQuery = z.object({
  rule: z.string(),
  shift: z.string().optional(),
  program: z.string().optional(),
  fluidTemperature: z.coerce.number().min(-50).max(200).default(80),
});
export const commandedMapResponse = z.object({
  unit: z.string(),
  title: z.string(),
  load: z.array(z.number()),
  inputSpeed: z.array(z.number()),
  values: z.array(z.number()).describe('row-major, load slowest'),
});
export type CommandedMapResponse = z.infer<typeof commandedMapResponse>;

export const commandedPointQuery = commandedMapQuery.extend({
  load: z.coerce.number().min(0).max(150),
  inputSpeed: z.coerce.number().min(0).max(12000),
});
export const commandedPointResponse = z.object({
  value: z.number(),
  unit: z.string(),
  shares: z.array(
    z.object({ tableId: z.string(), title: z.string(), variant: z.string(), value: z.number(), unit: z.string() }),
  ),
});

const effect = z.discriminatedUnion('kind', [
  z.object({
    kind: z.literal('estimate'),
    difference: z.number().describe('other minus base, as a share'),
    low: z.number(),
    high: z.number(),
    probabilityBetter: z.number().describe('that the other revision has the lower rate'),
    vehicles: z.number().int(),
    shifts: z.number().int(),
  }),
  z.object({
    kind: z.literal('insufficient'),
    reason: z.enum(['tooFewVehicles', 'noOverlap', 'tooFewShifts', 'tooFewEvents', 'dependsOnOneVehicle']),
    vehicles: z.number().int(),
    shifts: z.number().int(),
  }),
]);
export type Effect = z.infer<typeof effect>;
export const outcomeMeasure = z.enum(OUTCOME_MEASURES);
export type OutcomeMeasure = z.infer<typeof outcomeMeasure>;
export const compareOutcomesResponse = z.object({
  base: revisionSummary,
  other: revisionSummary,
  overlap: z.number().describe('share of shifts in strata driven under both'),
  measures: z.array(
    z.object({ measure: outcomeMeasure, baseRate: rate, otherRate: rate, unadjusted: effect, adjusted: effect }),
  ),
});
export type CompareOutcomesResponse = z.infer<typeof compareOutcomesResponse>;

const comparedPart = { baseRate: rate, otherRate: rate, unadjusted: effect, adjusted: effect };

export const compareDetailQuery = compareQuery.extend({ measure: outcomeMeasure });
/** One measure of two revisions taken apart. */
export const compareDetailResponse = z.object({
  measure: outcomeMeasure,
  whole: z.object(comparedPart),
  byKind: z.array(z.object({ kind: z.string(), ...comparedPart })),
  byLoadBand: z.array(z.object({ loadBand: z.number().int(), label: z.string(), ...comparedPart })),
  byVehicle: z
    .array(
      z.object({
        vehicleId: id,
        title: z.string(),
        baseEvents: z.number().int(),
        baseShifts: z.number().int(),
        otherEvents: z.number().int(),
        otherShifts: z.number().int(),
        difference: z.object({ difference: z.number(), low: z.number(), high: z.number() }).nullable(),
        weight: z.number().describe('share of this car in the adjusted difference'),
      }),
    )
    .describe('cars that drove either, each like with like; null where it drove no operating point under both'),
});
export type CompareDetailResponse = z.infer<typeof compareDetailResponse>;

/** How much was driven under each of two revisions at one kind and load band, as a share of each one's shifts. */
export const compareOverlapResponse = z.object({
  overlap: z.number(),
  cells: z.array(
    z.object({ kind: z.string(), loadBand: z.number().int(), baseShare: z.number(), otherShare: z.number() }),
  ),
  loadBands: z.array(z.object({ index: z.number().int(), label: z.string() })),
});
export type CompareOverlapResponse = z.infer<typeof compareOverlapResponse>;

/** Difference of the mean of a measured quantity, in its unit, by a mixed model with vehicles as random effects. */
export const compareSpreadsResponse = z.object({
  measures: z.array(
    z.object({
      measure: z.string(),
      baseMean: z.number().nullable(),
      otherMean: z.number().nullable(),
      baseShifts: z.number().int(),
      otherShifts: z.number().int(),
      adjusted: effect,
    }),
  ),
});
export type CompareSpreadsResponse = z.infer<typeof compareSpreadsResponse>;
