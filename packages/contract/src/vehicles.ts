import { z } from 'zod';
import { id, instant, longText, pageOf, rate, shortText } from './common.js';
import { DIALECT_VERDICTS } from './states.js';

/** What an owner declares. Without defaults: in an update what is left out stays as it was. */
const profile = z.object({
  title: shortText,
  declaredDialect: id.nullable(),
  engine: z.string().trim().max(120),
  massKg: z.number().min(300).max(20000),
  ratedInputTorqueNm: z.number().positive().max(5000),
  inputInertiaKgM2: z.number().positive().max(10),
  tyreRadiusM: z.number().min(0.15).max(0.8),
  finalDriveRatio: z.number().positive().max(12),
  note: longText,
});
export const createVehicleRequest = profile.extend({
  platformId: id,
  ownerId: id.optional().describe('a maintainer may enter a car for a tester'),
  declaredDialect: profile.shape.declaredDialect.default(null),
  engine: profile.shape.engine.default(''),
  note: profile.shape.note.default(''),
});
export const updateVehicleRequest = profile.partial();
export const vehicleSummary = z.object({
  id,
  title: z.string(),
  ownerId: id,
  ownerName: z.string(),
  platformId: id,
  platformTitle: z.string(),
  engine: z.string(),
  tags: z.array(z.string()).describe('free words of the maintainers'),
  declaredDialect: z.string().nullable(),
  observedDialect: z.string().nullable(),
  dialectVerdict: z.enum(DIALECT_VERDICTS),
  isDialectCleared: z.boolean().describe('confirmed, or decided by a maintainer'),
  revisionId: id.nullable(),
  revisionLabel: z.string().nullable(),
  logCount: z.number().int(),
  shiftCount: z.number().int(),
  flare: rate,
  tieUp: rate,
  lastDrivenAt: instant.nullable(),
});
export type VehicleSummary = z.infer<typeof vehicleSummary>;
export const vehiclePage = pageOf(vehicleSummary);

export const installation = z.object({
  id,
  revisionId: id,
  revisionLabel: z.string(),
  contentHash: z.string(),
  sinceAt: instant,
  untilAt: instant.nullable(),
});
export const dialectObservation = z.object({
  id,
  dialect: z.string().nullable(),
  source: z.enum(['capture', 'inspection']),
  note: z.string(),
  observedAt: instant,
  byName: z.string(),
  declaredDialect: z.string().nullable().describe('what was declared then; it confirms no later declaration'),
});
export const vehicleResponse = vehicleSummary.extend({
  isFormer: z.boolean().describe('its person had her data removed: nobody is behind it'),
  massKg: z.number(),
  ratedInputTorqueNm: z.number(),
  inputInertiaKgM2: z.number(),
  tyreRadiusM: z.number(),
  finalDriveRatio: z.number(),
  note: z.string(),
  createdAt: instant,
  installations: z.array(installation),
  observations: z.array(dialectObservation),
  outcomeByShift: z.array(z.object({ kind: z.string(), flare: rate, tieUp: rate, harsh: rate, fleetFlare: rate })),
});
export type VehicleResponse = z.infer<typeof vehicleResponse>;

export const installRequest = z.object({ revisionId: id, sinceAt: instant.optional() });
export const observeDialectRequest = z.object({
  dialect: id.nullable(),
  source: z.enum(['capture', 'inspection']),
  note: shortText,
});
