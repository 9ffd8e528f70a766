import type { Band, OutcomeMeasure, Rate, RevisionOutcome } from '@syncline/contract';
import {
  type Banding,
  bandLabel,
  bandLimits,
  DEFAULT_EVIDENCE,
  DEFAULT_FLEET_BANDS,
  UNKNOWN_BAND,
} from '@syncline/fleet';
import type { FleetFilter, Store } from '@syncline/store';
import type { Actor } from './actor.js';
import { scopeOf } from './actor.js';
import type { PlatformService } from './platforms.js';
import { carRate, fleetRate, groupBy, OUTCOME_OF_MEASURE, outcomeOf, sumByVehicle } from './rates.js';

/** Two-sided 99.7 %: of two dozen cars that are all alike, fewer than one in ten fleets shows an odd one. */
const Z_ODD_CAR = 3;

export interface FleetMatrix {
  readonly rows: { kind: string; total: Rate; cells: { loadBand: number; rate: Rate }[] }[];
  readonly total: Rate;
}

export interface RevisionTrend {
  readonly revisionId: string;
  readonly calibrationTitle: string;
  readonly number: number;
  readonly createdAtMs: number;
  readonly shifts: number;
  readonly outcome: RevisionOutcome;
}

export type FleetService = ReturnType<typeof createFleetService>;

/** What the fleet shows: aggregates only, so that every role may read them. */
export function createFleetService({ read }: Store, platforms: PlatformService) {
  return {
    overview(platformId: string) {
      platforms.get(platformId);
      return read.fleet.overview({ platformId });
    },

    /** Rate of one measure by shift kind and load, in the platform's order of shifts. */
    matrix(filter: FleetFilter, measure: OutcomeMeasure): FleetMatrix {
      const outcome = OUTCOME_OF_MEASURE[measure];
      const { platform } = platforms.get(filter.platformId);
      const rows = read.fleet.matrix(filter);
      const byKind = groupBy(rows, (row) => row.kind);
      const kinds = inOrder(
        [...byKind.keys()],
        platform.shifts.map((shift) => shift.id),
      );
      return {
        rows: kinds.map((kind) => {
          const ofKind = byKind.get(kind) ?? [];
          const byBand = groupBy(ofKind, (row) => String(row.loadBand));
          return {
            kind,
            total: fleetRate(sumByVehicle(ofKind), outcome),
            cells: [...byBand.entries()]
              .map(([band, cell]) => ({ loadBand: Number(band), rate: fleetRate(sumByVehicle(cell), outcome) }))
              .sort((a, b) => a.loadBand - b.loadBand),
          };
        }),
        total: fleetRate(sumByVehicle(rows), outcome),
      };
    },

    /** Outcome by revision, oldest first. */
    trend(platformId: string): RevisionTrend[] {
      platforms.get(platformId);
      return read.fleet.trend(platformId).map(({ byVehicle, ...point }) => ({
        ...point,
        shifts: byVehicle.reduce((sum, counts) => sum + counts.shifts, 0),
        outcome: outcomeOf(byVehicle),
      }));
    },

    /** Each car that the actor may see beside the whole fleet. A car is odd when the two intervals do not meet. */
    vehicles(actor: Actor, filter: FleetFilter, measure: OutcomeMeasure) {
      platforms.get(filter.platformId);
      const outcome = OUTCOME_OF_MEASURE[measure];
      const fleet = fleetRate(read.fleet.byVehicle({}, filter), outcome);
      const vehicles = read.fleet.byVehicle(scopeOf(actor), filter).map((counts) => ({
        vehicleId: counts.vehicleId,
        title: counts.title,
        rate: carRate(counts, outcome),
        isOdd: isApart(carRate(counts, outcome, Z_ODD_CAR), fleet),
      }));
      return { fleet, vehicles };
    },

    /** Operating points with too little evidence, the emptiest first; those never driven are among them. */
    coverage(filter: FleetFilter) {
      const { platform } = platforms.get(filter.platformId);
      const driven = new Map(
        read.fleet.coverage(filter).map((cell) => [cellKey(cell.kind, cell.loadBand, cell.fluidTemperatureBand), cell]),
      );
      const temperatureBands =
        filter.fluidTemperatureBand === undefined ? bandIndices(TEMPERATURE) : [filter.fluidTemperatureBand];
      const cells = platform.shifts.flatMap(({ id: kind }) =>
        bandIndices(LOAD).flatMap((loadBand) =>
          temperatureBands.map((fluidTemperatureBand) => {
            const found = driven.get(cellKey(kind, loadBand, fluidTemperatureBand));
            return { kind, loadBand, fluidTemperatureBand, shifts: found?.shifts ?? 0, vehicles: found?.vehicles ?? 0 };
          }),
        ),
      );
      const { minShifts, minVehicles } = DEFAULT_EVIDENCE;
      return {
        cells: cells
          .filter((cell) => cell.shifts < minShifts || cell.vehicles < minVehicles)
          .sort((a, b) => a.shifts - b.shifts || a.vehicles - b.vehicles),
        neededShifts: minShifts,
        neededVehicles: minVehicles,
      };
    },
  };
}

const { load: LOAD, temperature: TEMPERATURE } = DEFAULT_FLEET_BANDS;

/** The load bands of the matrix, for its columns. */
export const LOAD_BANDS: readonly Band[] = bandsOf(LOAD);
export const FLUID_TEMPERATURE_BANDS: readonly Band[] = bandsOf(TEMPERATURE);

function bandsOf(banding: Banding): Band[] {
  return [...bandIndices(banding), UNKNOWN_BAND].map((index) => {
    const { low, high } =
      index === UNKNOWN_BAND ? { low: Number.NaN, high: Number.NaN } : bandLimits(banding.edges, index);
    return { index, low: finiteOrNull(low), high: finiteOrNull(high), label: bandLabel(banding, index) };
  });
}

function bandIndices(banding: Banding): number[] {
  return Array.from({ length: banding.edges.length + 1 }, (_, index) => index);
}

function finiteOrNull(value: number): number | null {
  return Number.isFinite(value) ? value : null;
}

function cellKey(kind: string, loadBand: number, fluidTemperatureBand: number): string {
  return `${kind}|${loadBand}|${fluidTemperatureBand}`;
}

function inOrder(kinds: readonly string[], order: readonly string[]): string[] {
  const place = (kind: string) => (order.includes(kind) ? order.indexOf(kind) : order.length);
  return [...kinds].sort((a, b) => place(a) - place(b));
}

function isApart(car: Rate, fleet: Rate): boolean {
  return car.kind === 'estimate' && fleet.kind === 'estimate' && (car.low > fleet.high || car.high < fleet.low);
}
