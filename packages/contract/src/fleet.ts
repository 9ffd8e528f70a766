import { z } from 'zod';
import { outcomeMeasure, revisionOutcome } from './calibrations.js';
import { id, instant, rate } from './common.js';

export const fleetFilter = z.object({
  platform: id,
  revision: id.optional(),
  program: z.string().optional(),
  fluidTemperatureBand: z.coerce.number().int().min(0).max(20).optional(),
});
export const matrixQuery = fleetFilter.extend({ measure: outcomeMeasure.default('flare') });

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
  vehicles: z.array(z.object({ vehicleId: id, title: z.string(), rate, isOdd: z.boolean() })),
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
