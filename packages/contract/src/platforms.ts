import { z } from 'zod';
import { id, instant, pageOf, shortText } from './common.js';
import { finding } from './problem.js';

const slug = z.string().regex(/^[a-z0-9][a-z0-9-]{0,39}$/, 'lower-case letters, digits and hyphens');

export const platformDocument = z.object({
  id: slug,
  title: shortText,
  gears: z
    .array(
      z.object({
        gear: z.number().int().min(1).max(12),
        ratio: z.number().positive().max(20),
        applied: z.array(slugLike()),
      }),
    )
    .min(2)
    .max(12),
  clutches: z.array(z.object({ id: slugLike(), title: shortText, kind: z.enum(['clutch', 'brake']) })).max(16),
  shifts: z
    .array(z.object({ id: z.string().regex(/^\d+-\d+$/), from: z.number().int(), to: z.number().int() }))
    .min(1)
    .max(132),
  programs: z
    .array(z.object({ id: slug, title: shortText, code: z.number().int() }))
    .min(1)
    .max(12),
  dialects: z.array(z.object({ id: slug, title: shortText })).max(40),
  ratedInputTorqueNm: z.number().positive().max(5000),
  inputInertiaKgM2: z.number().positive().max(10),
});
export type PlatformDocument = z.infer<typeof platformDocument>;

function slugLike() {
  return z.string().regex(/^[A-Za-z0-9][A-Za-z0-9-]{0,19}$/);
}

const operatingQuantity = z.enum([
  'load',
  'engineSpeed',
  'inputSpeed',
  'outputSpeed',
  'fluidTemperature',
  'pedal',
  'pressure',
]);
const storage = z.object({
  type: z.enum(['u8', 's8', 'u16', 's16', 'u32', 's32', 'f32']),
  resolution: z.number().positive(),
  offset: z.number(),
});
const VALUE_CHECKS = [
  'belowMinimum',
  'aboveMaximum',
  'notMonotone',
  'tooSteep',
  'storageLoss',
  'notReachable',
  'stepTooLarge',
  'scheduleCrossing',
  'scheduleHunting',
  'engineTooSlow',
  'engineTooFast',
] as const;
const tableId = z.string().regex(/^[a-z][A-Za-z0-9]{0,59}$/);
const tableSpec = z.object({
  id: tableId,
  title: shortText,
  quantity: shortText,
  unit: z.string().max(20),
  repeat: z.enum(['once', 'shift', 'upshift', 'downshift', 'gear', 'program', 'clutch']),
  byProgram: z.boolean().optional(),
  axes: z
    .array(
      z.object({
        quantity: operatingQuantity,
        title: shortText,
        unit: z.string().max(20),
        breakpoints: z.array(z.number()).min(2).max(64),
        editable: z.boolean(),
      }),
    )
    .max(2),
  storage,
  limits: z.object({ min: z.number(), max: z.number() }),
  monotone: z.array(
    z.object({ axis: z.number().int().min(0).max(1), direction: z.enum(['rising', 'falling']), strict: z.boolean() }),
  ),
  slopeLimits: z.array(z.object({ axis: z.number().int().min(0).max(1), maxPerUnit: z.number().positive() })),
  stepBound: z
    .object({ absolute: z.number().positive().optional(), percent: z.number().positive().optional() })
    .optional(),
  coil: z
    .object({
      resistanceOhm: z.number().positive(),
      seriesResistanceOhm: z.number().min(0),
      lowestVoltageV: z.number().positive(),
      highestTemperatureC: z.number().min(-50).max(250),
    })
    .optional(),
  severities: z.partialRecord(z.enum(VALUE_CHECKS), z.enum(['blocking', 'warning'])).optional(),
  defaultValue: z.number(),
  note: z.string().max(1000).optional(),
});

const schedule = z.object({
  id: tableId,
  title: shortText,
  upTable: tableId,
  downTable: tableId,
  minHysteresisRpm: z.number().min(0),
  minInputSpeedRpm: z.number().min(0),
  maxInputSpeedRpm: z.number().positive(),
});

const address = z.number().int().min(0).max(0xffff_ffff);
const imageMap = z.object({
  startAddress: address,
  byteCount: z
    .number()
    .int()
    .min(1)
    .max(4 * 1024 ** 2),
  fill: z.number().int().min(0).max(255),
  byteOrder: z.enum(['little', 'big']),
  tables: z.array(z.object({ tableId, address })).max(200),
  axes: z.array(z.object({ tableId, axis: z.number().int().min(0).max(1), address, storage })).max(400),
  checksums: z
    .array(
      z.object({
        kind: z.enum(['crc32', 'crc16CcittFalse', 'sum8', 'sum16', 'sum32']),
        from: address,
        to: z.number().int().min(0).max(0x1_0000_0000),
        address,
      }),
    )
    .max(16),
});

export const layoutDocument = z.object({
  platformId: slug,
  version: z.number().int().min(1),
  title: shortText,
  tables: z.array(tableSpec).min(1).max(200),
  rules: z.array(
    z.object({
      id: z.string().regex(/^[a-z][A-Za-z0-9]{0,59}$/),
      title: shortText,
      unit: z.string().max(20),
      kind: z.enum(['product', 'sum']),
      tables: z.array(z.string()).min(1).max(20),
      returnPressureKpa: z.number().min(0).optional(),
    }),
  ),
  schedules: z.array(schedule).max(20).optional(),
  image: imageMap.optional(),
});
export type LayoutDocument = z.infer<typeof layoutDocument>;

const byLoad = z.object({
  load: z.array(z.number()).min(1).max(32),
  value: z.array(z.number().positive()).min(1).max(32),
});
const programPolicy = z.object({
  flareRpm: z.number().positive(),
  flareMs: z.number().min(0),
  tieUpDepth: z.number().positive(),
  harshJerk: byLoad,
  targetInertiaTimeS: byLoad,
  slowFactor: z.number().min(1),
});
/** The version is given by the server. */
export const policyRequest = z.object({
  programs: z.object({ default: programPolicy }).catchall(programPolicy),
  incompleteAfterS: z.number().positive().max(10),
  valveOnLimitS: z.number().positive().max(60),
  lockUpLimitS: z.number().positive().max(60),
});
export const policyDocument = policyRequest.extend({ version: z.number().int() });
export type PolicyDocument = z.infer<typeof policyDocument>;

export const platformSummary = z.object({
  id,
  title: z.string(),
  gearCount: z.number().int(),
  layoutVersions: z.array(z.number().int()),
});
export const platformPage = pageOf(platformSummary);
export const platformResponse = z.object({
  platform: platformDocument,
  layoutVersions: z.array(z.number().int()),
  layouts: z.array(z.object({ version: z.number().int(), title: z.string(), createdAt: instant })),
  policy: policyDocument,
  policies: z.array(z.object({ version: z.number().int(), createdAt: instant })),
  createdAt: instant,
});
export type PlatformResponse = z.infer<typeof platformResponse>;
export const layoutResponse = z.object({ layout: layoutDocument, findings: z.array(finding) });
