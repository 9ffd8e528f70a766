import { z } from 'zod';
import { id, instant } from './common.js';
import { APPLICATION_STATES } from './states.js';

const words = (length: number) => z.string().trim().min(1).max(length);
const make = z.string().trim().max(60);

export const controlUnit = z.object({
  id,
  serial: z.string(),
  platformId: id,
  platformTitle: z.string(),
  hardware: z.string(),
  firmware: z.string().describe('as it last reported; empty while unknown'),
  layoutVersion: z.number().int().nullable().describe('that the firmware takes; null while unknown'),
  holderId: id.nullable(),
  holderName: z.string().nullable(),
  vehicleId: id.nullable(),
  vehicleTitle: z.string().nullable(),
  fittedAt: instant.nullable(),
  isRetired: z.boolean(),
  createdAt: instant,
});
export type ControlUnit = z.infer<typeof controlUnit>;
export const controlUnitsResponse = z.object({ items: z.array(controlUnit) });
export const controlUnitResponse = controlUnit.extend({
  events: z.array(z.object({ id, at: instant, byName: z.string(), change: z.string(), note: z.string() })),
});
export type ControlUnitResponse = z.infer<typeof controlUnitResponse>;

const layoutVersion = z.number().int().min(1).max(10_000).nullable();
export const createControlUnitRequest = z.object({
  serial: words(60),
  platformId: id,
  hardware: words(60),
  firmware: make.default(''),
  layoutVersion: layoutVersion.default(null),
  note: z.string().trim().max(500).default(''),
});
export const updateControlUnitRequest = z.object({
  hardware: words(60).optional(),
  firmware: make.optional(),
  layoutVersion: layoutVersion.optional(),
  holderId: id.nullable().optional(),
  vehicleId: id.nullable().optional(),
  isRetired: z.boolean().optional(),
  note: z.string().trim().max(500).default(''),
});
/** What a unit says of itself, told by whoever has it at hand. */
export const reportFirmwareRequest = z.object({
  firmware: words(60),
  layoutVersion: layoutVersion.optional(),
  note: z.string().trim().max(500).default(''),
});

/** At least one of both; both must fit where both are given. */
export const affectedQuery = z
  .object({ hardware: words(60).optional(), firmware: words(60).optional() })
  .refine(
    ({ hardware, firmware }) => hardware !== undefined || firmware !== undefined,
    'name a hardware or a firmware',
  );
export const affectedResponse = z.object({
  items: z.array(
    controlUnit.extend({ personId: id.nullable(), personName: z.string().nullable(), canBeMailed: z.boolean() }),
  ),
});
export type AffectedResponse = z.infer<typeof affectedResponse>;
export const recallUnitsRequest = z
  .object({
    hardware: words(60).nullable().default(null),
    firmware: words(60).nullable().default(null),
    words: words(2000).describe('what the people who hold such a unit are told'),
  })
  .refine(({ hardware, firmware }) => hardware !== null || firmware !== null, 'name a hardware or a firmware');
export const unitRecall = z.object({
  id,
  hardware: z.string().nullable(),
  firmware: z.string().nullable(),
  words: z.string(),
  byName: z.string(),
  at: instant,
  units: z.number().int().describe('that still answer to it'),
});
export type UnitRecall = z.infer<typeof unitRecall>;
export const unitRecallsResponse = z.object({ items: z.array(unitRecall) });

export const unitQueueResponse = z.object({
  items: z.array(
    z.object({
      applicationId: id,
      name: z.string(),
      car: z.string(),
      platformId: id.nullable(),
      platformTitle: z.string().nullable(),
      state: z.enum(APPLICATION_STATES),
      since: instant,
      byName: z.string(),
    }),
  ),
});
export type UnitQueueResponse = z.infer<typeof unitQueueResponse>;
export const unitWaitRequest = z.object({ waits: z.boolean() });
