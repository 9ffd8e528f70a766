import { z } from 'zod';
import { outcomeMeasure, revisionOutcome } from './calibrations.js';
import { id, instant, rate } from './common.js';
import { SPREAD_MEASURES } from './states.js';

export const fleetFilter = z.object({
  platform: id,
  revision: id.optional(),
  program: z.string().optional(),
  fluidTemperatureBand: z.coerce.number().int().min(0).max(20).optional(),
  dialect: id.optional().describe('only cars that speak it: observed where it is known, else declared'),
  engine: z.string().trim().min(1).max(120).optional().describe('only cars with this engine, as their owners wrote it'),
});
export const matrixQuery = fleetFilter.extend({ measure: outcomeMeasure.default('flare') });
/** A page that opens need not wait for the list of gearboxes. */
export const firstMatrixQuery = matrixQuery.extend({
  platform: id.optional().describe('the first of the list of platforms where it is left out'),
});

export const band = z.object({
  index: z.number().int(),
  low: z.number().nullable(),
  high: z.number().nullable(),
  label: z.string(),
});
export type Band = z.infer<typeof band>;
export const matrixResponse = z.object({
  measure: outcomeMeasure,
  loadBands: z.array(band),
  fluidTemperatureBands: z.array(band),
  rows: z.array(
    z.object({ kind: z.string(), total: rate, cells: z.array(z.object({ loadBand: z.number().int(), rate })) }),
  ),
  total: rate,
});
export type MatrixResponse = z.infer<typeof matrixResponse>;

/** What the cohort filters can be set to on a platform. */
export const cohortsResponse = z.object({
  dialects: z.array(z.object({ value: id, vehicles: z.number().int() })),
  engines: z.array(z.object({ value: z.string(), vehicles: z.number().int() })),
  programs: z.array(z.string()),
});
export type CohortsResponse = z.infer<typeof cohortsResponse>;

/** The matrix of every fluid temperature band side by side; all have the same load bands. */
export const matricesResponse = z.object({
  measure: outcomeMeasure,
  loadBands: z.array(band),
  panels: z.array(
    matrixResponse.pick({ rows: true, total: true }).extend({ fluidTemperatureBand: band, shifts: z.number().int() }),
  ),
});
export type MatricesResponse = z.infer<typeof matricesResponse>;

export const spreadMeasure = z.enum(SPREAD_MEASURES);
export type SpreadMeasure = z.infer<typeof spreadMeasure>;

/** How a measured quantity is spread, in its own unit. Quantiles are within 1 % of a value of that rank. */
export const spread = z.discriminatedUnion('kind', [
  z.object({
    kind: z.literal('estimate'),
    shifts: z.number().int(),
    vehicles: z.number().int(),
    mean: z.number(),
    p05: z.number(),
    p25: z.number(),
    p50: z.number(),
    p75: z.number(),
    p95: z.number(),
  }),
  z.object({
    kind: z.literal('insufficient'),
    shifts: z.number().int(),
    vehicles: z.number().int(),
    neededShifts: z.number().int(),
    neededVehicles: z.number().int(),
  }),
]);
export type Spread = z.infer<typeof spread>;

/** Programs are not told apart in spreads. */
export const spreadQuery = fleetFilter.omit({ program: true }).extend({ measure: spreadMeasure });
export const spreadResponse = z.object({
  measure: spreadMeasure,
  loadBands: z.array(band),
  rows: z.array(
    z.object({ kind: z.string(), total: spread, cells: z.array(z.object({ loadBand: z.number().int(), spread })) }),
  ),
  total: spread,
});
export type SpreadResponse = z.infer<typeof spreadResponse>;

export const trendResponse = z.object({
  points: z.array(
    z.object({
      revisionId: id,
      label: z.string(),
      number: z.number().int(),
      createdAt: instant,
      shifts: z.number().int(),
      outcome: revisionOutcome,
    }),
  ),
});
export type TrendResponse = z.infer<typeof trendResponse>;

/** Outcome by vehicle. For testers every car but their own is left out. */
export const fleetVehiclesResponse = z.object({
  fleet: rate,
  vehicles: z.array(
    z.object({
      vehicleId: id,
      title: z.string(),
      rate,
      shrunken: z
        .object({ rate: z.number(), low: z.number(), high: z.number() })
        .nullable()
        .describe('drawn towards the fleet by how little is known of the car; null when it has no shifts'),
      isOdd: z.boolean(),
    }),
  ),
});
export type FleetVehiclesResponse = z.infer<typeof fleetVehiclesResponse>;

/** Operating points without enough shifts or cars, the emptiest first. */
export const coverageResponse = z.object({
  cells: z.array(
    z.object({
      kind: z.string(),
      loadBand: z.number().int(),
      fluidTemperatureBand: z.number().int(),
      shifts: z.number().int(),
      vehicles: z.number().int(),
    }),
  ),
  loadBands: z.array(band),
  fluidTemperatureBands: z.array(band),
  neededShifts: z.number().int(),
  neededVehicles: z.number().int(),
});
export type CoverageResponse = z.infer<typeof coverageResponse>;

export const overviewResponse = z.object({
  vehicles: z.number().int(),
  logs: z.number().int(),
  shifts: z.number().int(),
  drivenS: z.number(),
  waitingLogs: z.number().int(),
});
export type OverviewResponse = z.infer<typeof overviewResponse>;
