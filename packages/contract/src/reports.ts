import { z } from 'zod';
import { outcomeMeasure } from './calibrations.js';
import { id, instant, rate } from './common.js';
import { band } from './fleet.js';
import { gradeCounts, logQuality, logState, note, readFindings, sampleFindings } from './logs.js';
import { grade, lockUpRow, shiftRow } from './shifts.js';

const count = z.number().int();

const kindReport = z.object({
  shifts: count,
  grades: gradeCounts,
  flare: rate,
  tieUp: rate,
  harsh: rate,
  slow: rate,
});

/** By how much a shift departs, beside the limit of the grading policy for its program and load. */
const departure = z.object({
  measure: z.enum(['flare', 'tie-up', 'harsh', 'slow', 'incomplete']),
  unit: z.string(),
  value: z.number(),
  limit: z.number(),
});
export type Departure = z.infer<typeof departure>;

/** Input speed between the synchronous lines of the two gears around one shift; null where missing. */
const shiftPicture = z.object({
  fromS: z.number(),
  toS: z.number(),
  timeS: z.array(z.number()),
  inputRpm: z.array(z.number().nullable()),
  fromLineRpm: z.array(z.number().nullable()),
  toLineRpm: z.array(z.number().nullable()),
});
export type ShiftPicture = z.infer<typeof shiftPicture>;

const reportedShift = z.object({
  shift: shiftRow,
  isBeyond: z.boolean().describe('whether it has a grade other than clean'),
  /** The largest first. */
  departures: z.array(departure),
  picture: shiftPicture.nullable().describe('null where the signals are no longer there'),
});
export type ReportedShift = z.infer<typeof reportedShift>;

const nearestShift = z
  .object({ id, kind: z.string(), commandS: z.number(), grades: z.array(grade), apartS: z.number() })
  .nullable();
export type NearestShift = z.infer<typeof nearestShift>;

/**
 * What this drive is held against: earlier drives of the same car under its revision or under others, or other cars
 * under the revision or on the platform. Only operating points (kind, load, fluid temperature, program) that were
 * driven on both sides count.
 */
const comparisonSubject = z.enum(['sameRevision', 'otherRevisions', 'fleetRevision', 'fleetPlatform']);
export type ComparisonSubject = z.infer<typeof comparisonSubject>;

const comparison = z.discriminatedUnion('kind', [
  z.object({
    kind: z.literal('compared'),
    subject: comparisonSubject,
    revisionLabels: z.array(z.string()),
    /** Drives of the same car, or other cars. */
    sources: count,
    shiftsNow: count,
    shiftsOthers: count,
    rows: z.array(
      z.object({
        measure: outcomeMeasure,
        now: rate,
        /** Its interval is clustered by drive or by car; `vehicles` counts those. Null: too few cars to be shown. */
        others: rate.nullable(),
        /** Events that this driving would have had at the rates of the others, point by point. */
        expected: z.number().nullable(),
        verdict: z.enum(['lower', 'higher', 'notTold']),
      }),
    ),
  }),
  z.object({
    kind: z.literal('tooFew'),
    subject: comparisonSubject,
    reason: z.enum(['noSource', 'noCommonPoint', 'tooFewCars']),
    found: count,
    needed: count,
  }),
]);
export type ReportComparison = z.infer<typeof comparison>;

/** An operating point where the fleet lacks evidence and that lies beside what this car has driven. */
const drivingWish = z.object({
  kind: z.string(),
  from: count,
  to: count,
  load: band,
  fluidTemperature: band,
  shifts: count.describe('that the fleet has there'),
  vehicles: count,
  ownShifts: count.describe('of those, of this car'),
  ask: count.describe('how often this car should do it'),
});
export type DrivingWish = z.infer<typeof drivingWish>;

/** What a drive was, for the one who drove it. */
export const reportResponse = z.object({
  log: z.object({
    id,
    fileName: z.string(),
    state: logState,
    showsEarlier: z.boolean(),
    vehicleId: id,
    vehicleTitle: z.string(),
    ownerName: z.string(),
    platformId: id,
    platformTitle: z.string(),
    drivenAt: instant,
    durationS: z.number().nullable(),
    revisionId: id.nullable(),
    revisionLabel: z.string().nullable(),
    analysisVersion: count,
    policyVersion: count,
    sha256: z.string(),
  }),
  total: kindReport,
  /** In the platform's order of shifts. */
  kinds: z.array(kindReport.extend({ kind: z.string(), from: count, to: count })),
  /** Three at most, the worst first. */
  worst: z.array(reportedShift),
  lockUps: z.array(lockUpRow),
  notes: z.array(note.extend({ nearest: nearestShift })),
  marks: z.array(z.object({ atS: z.number(), nearest: nearestShift })),
  doubts: z.object({
    /** How many shifts each disturbance touched; a shift may have several. */
    disturbances: z.array(z.object({ disturbance: z.string(), shifts: count })),
    disturbedShifts: count,
    cutShifts: count,
    sampleFindings: sampleFindings.nullable(),
    readFindings: readFindings.nullable(),
    quality: logQuality.nullable(),
  }),
  comparisons: z.array(comparison),
  wishes: z.object({
    /** Label of the revision that the car runs now; null when none is entered, and the platform is asked about. */
    revisionLabel: z.string().nullable(),
    items: z.array(drivingWish),
    neededShifts: count,
    neededVehicles: count,
  }),
});
export type ReportResponse = z.infer<typeof reportResponse>;
