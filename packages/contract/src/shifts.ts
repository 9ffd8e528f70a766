import { z } from 'zod';
import { id, instant, pageOf, pageQuery } from './common.js';

export const grade = z.enum(['clean', 'flare', 'tie-up', 'harsh', 'slow', 'incomplete']);
const nullable = z.number().nullable();

export const shiftRow = z.object({
  id,
  logId: id,
  vehicleId: id,
  vehicleTitle: z.string(),
  revisionId: id.nullable(),
  revisionLabel: z.string().nullable(),
  kind: z.string(),
  from: z.number().int(),
  to: z.number().int(),
  direction: z.enum(['up', 'down']),
  outcome: z.enum(['complete', 'retargeted', 'cut', 'unsynchronised']),
  grades: z.array(grade),
  isPowerOn: z.boolean(),
  isHunting: z.boolean(),
  isSkip: z.boolean(),
  commandS: z.number(),
  commandSource: z.enum(['gearTarget', 'lastInGear']),
  flareStartS: nullable,
  inertiaStartS: nullable,
  syncS: nullable,
  startIndex: z.number().int(),
  endIndex: z.number().int(),
  program: z.string().nullable(),
  load: nullable,
  inputTorqueNm: nullable,
  inputSpeedRpm: z.number(),
  outputSpeedRpm: z.number(),
  fluidTemperatureC: nullable,
  pedal: nullable,
  applyPressureKpa: nullable,
  flareRpm: z.number(),
  flareMs: z.number(),
  flareRevolutions: z.number(),
  shiftTimeS: nullable,
  inertiaTimeS: nullable,
  delayS: nullable,
  peakToPeakAcceleration: nullable,
  peakJerk: nullable,
  tieUpDepth: nullable,
  tieUpImpulse: nullable,
  slipEnergyJ: nullable,
  valveOnAfterSyncS: nullable,
  demandRatio: nullable,
  demandWeight: nullable,
  disturbances: z.array(z.string()),
  drivenAt: instant,
  analysisVersion: z.number().int(),
  policyVersion: z.number().int(),
});
export type ShiftRow = z.infer<typeof shiftRow>;

export const lockUpRow = z.object({
  id,
  commandS: z.number(),
  madeS: nullable,
  releasedS: nullable,
  gear: nullable,
  timeToLockS: nullable,
  steadySlipRpm: nullable,
  overshootRpm: nullable,
  judderRpm: nullable,
  verdict: z.enum(['made', 'slow', 'notMade', 'lost', 'cut']),
  shiftsInside: z.number().int(),
});
export type LockUpRow = z.infer<typeof lockUpRow>;
/** A press of the marker button, found in the log. */
export const markRow = z.object({ id, atS: z.number() });
export type MarkRow = z.infer<typeof markRow>;
export const logShiftsResponse = z.object({
  shifts: z.array(shiftRow),
  lockUps: z.array(lockUpRow),
  marks: z.array(markRow),
});
export type LogShiftsResponse = z.infer<typeof logShiftsResponse>;

/** Filters shared by the shift list, its download and the pages that link to it. */
export const shiftFilter = z.object({
  platform: id.optional(),
  revision: id.optional(),
  vehicle: id.optional(),
  log: id.optional(),
  kind: z.string().optional(),
  grade: grade.optional(),
  program: z.string().optional(),
  dialect: id.optional().describe('only of cars that speak it: observed where it is known, else declared'),
  engine: z.string().trim().min(1).max(120).optional().describe('only of cars with this engine'),
  loadMin: z.coerce.number().optional(),
  loadMax: z.coerce.number().optional(),
  inputSpeedMin: z.coerce.number().optional(),
  inputSpeedMax: z.coerce.number().optional(),
  fluidTemperatureMin: z.coerce.number().optional(),
  fluidTemperatureMax: z.coerce.number().optional(),
});
export type ShiftFilter = z.infer<typeof shiftFilter>;
const everyNthDrive = z
  .number()
  .int()
  .describe('1: every matching shift was counted; n: those of every n-th drive, in the order they came, times n');
const facet = z.array(z.object({ value: z.string(), label: z.string(), shifts: z.number().int() }));
/** How many shifts each value of a dimension would leave, with the other filters as they are. */
export const shiftFacetsResponse = z.object({
  totalCount: z.number().int(),
  kinds: facet,
  grades: facet,
  programs: facet,
  revisions: facet,
  vehicles: facet,
  everyNthDrive,
});
export type ShiftFacetsResponse = z.infer<typeof shiftFacetsResponse>;

export const DISTRIBUTED = [
  'flareRpm',
  'flareMs',
  'shiftTimeS',
  'inertiaTimeS',
  'delayS',
  'peakJerk',
  'peakToPeakAcceleration',
  'tieUpDepth',
  'slipEnergyJ',
  'demandRatio',
  'load',
  'inputSpeedRpm',
  'fluidTemperatureC',
] as const;
export const shiftDistributionQuery = shiftFilter.extend({ quantity: z.enum(DISTRIBUTED) });
/** Counts of all matching shifts by equally wide bins; edges has one more entry than counts. */
export const shiftDistributionResponse = z.object({
  quantity: z.enum(DISTRIBUTED),
  edges: z.array(z.number()),
  counts: z.array(z.number().int()),
  measuredCount: z.number().int(),
  unmeasuredCount: z.number().int(),
  p05: nullable,
  p50: nullable,
  p95: nullable,
  everyNthDrive,
});
export type ShiftDistributionResponse = z.infer<typeof shiftDistributionResponse>;
export const SHIFT_SORTS = ['newest', 'flareRpm', 'tieUpDepth', 'peakJerk', 'inertiaTimeS'] as const;
export const shiftListQuery = shiftFilter.extend({ ...pageQuery.shape, sort: z.enum(SHIFT_SORTS).default('newest') });
export const shiftPage = pageOf(shiftRow);
