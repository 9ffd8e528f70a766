import type { Band, OutcomeMeasure } from '@syncline/contract';
import {
  type Banding,
  bandLabel,
  bandLimits,
  DEFAULT_EVIDENCE,
  DEFAULT_FLEET_BANDS,
  UNKNOWN_BAND,
} from '@syncline/fleet';
import type { Cohort, FleetFilter, Store } from '@syncline/store';
import { type Actor, scopeOf } from './actor.js';
import type { FleetMatrix, TemperaturePanel } from './fleet-queries/fleet-matrix.js';
import type { FleetSpread, SpreadQuery } from './fleet-queries/fleet-spread.js';
import type { RevisionTrend } from './fleet-queries/fleet-trend.js';
import type { FleetCars } from './fleet-queries/fleet-vehicles.js';
import type { FleetQueryPool } from './fleet-queries/queries.js';
import type { PlatformService } from './platforms.js';

export type FleetService = ReturnType<typeof createFleetService>;

/** What the fleet shows: aggregates only, so that every role may read them. */
export function createFleetService({ read }: Store, { platforms, queries }: FleetServiceOptions) {
  const kindsOf = (platformId: string) => platforms.get(platformId).platform.shifts.map(({ id }) => id);

  return {
    /**
     * A filter as the actor may ask it. A cohort of one or two cars of others would show a tester what these cars did,
     * and is answered as one without any.
     */
    filterFor(actor: Actor, filter: FleetFilter): FleetFilter {
      if (actor.role !== 'tester') return filter;
      const size = read.fleet.cohortSize(filter);
      if (size === null) return filter;
      const others = size - (read.fleet.cohortSize(filter, scopeOf(actor)) ?? 0);
      return others > 0 && others < DEFAULT_EVIDENCE.minVehicles ? { ...filter, vehicleIds: [] } : filter;
    },

    /** What is meant where no gearbox is named: the first of the list. One that is unknown where there is none. */
    firstPlatform: () => platforms.list({ limit: 1 }).items[0]?.id ?? '',

    overview(filter: Cohort & { readonly platformId: string }) {
      platforms.get(filter.platformId);
      return read.fleet.overview(filter);
    },

    /** What cohorts can be picked by. Testers are not told what only one or two cars have. */
    cohorts(actor: Actor, platformId: string) {
      const { platform } = platforms.get(platformId);
      const { dialects, engines, programs } = read.fleet.cohorts(platformId);
      const atLeast = actor.role === 'tester' ? DEFAULT_EVIDENCE.minVehicles : 1;
      const order = platform.programs.map(({ id }) => id);
      return {
        dialects: dialects.filter(({ vehicles }) => vehicles >= atLeast),
        engines: engines.filter(({ vehicles }) => vehicles >= atLeast),
        programs: [...programs].sort((a, b) => placeIn(order, a) - placeIn(order, b)),
      };
    },

    /** Rate of one measure by shift kind and load, in the platform's order of shifts. */
    async matrix(filter: FleetFilter, measure: OutcomeMeasure): Promise<FleetMatrix> {
      const kinds = kindsOf(filter.platformId);
      return inOrder(await queries.ask('matrix', { ...filter, measure }), kinds);
    },

    /** The matrix of every fluid temperature band; that of drives that did not log it only where there are some. */
    async matrices(filter: FleetFilter, measure: OutcomeMeasure): Promise<TemperaturePanel[]> {
      const kinds = kindsOf(filter.platformId);
      const panels = await queries.ask('matrices', { ...filter, measure });
      return panels.map((panel) => inOrder(panel, kinds));
    },

    /** How a measured quantity is spread, in the platform's order of shifts. */
    async spread(query: SpreadQuery): Promise<FleetSpread> {
      const kinds = kindsOf(query.platformId);
      return inOrder(await queries.ask('spread', query), kinds);
    },

    /** Outcome by revision, oldest first. */
    async trend(filter: FleetFilter): Promise<RevisionTrend[]> {
      platforms.get(filter.platformId);
      return queries.ask('trend', filter);
    },

    /** Each car that the actor may see beside the whole fleet, in the order of their titles. */
    async vehicles(actor: Actor, filter: FleetFilter, measure: OutcomeMeasure): Promise<FleetCars> {
      platforms.get(filter.platformId);
      const { fleet, cars } = await queries.ask('vehicles', { ...filter, measure });
      const vehicles = read.fleet.titles(scopeOf(actor), filter.platformId).flatMap(({ vehicleId, title }) => {
        const car = cars.get(vehicleId);
        return car ? [{ vehicleId, title, ...car }] : [];
      });
      return { fleet, vehicles };
    },

    /** Operating points with too little evidence, the emptiest first; those never driven are among them. */
    async coverage(filter: FleetFilter) {
      const { platform } = platforms.get(filter.platformId);
      const cellsDriven = await queries.ask('coverage', filter);
      const driven = new Map(
        cellsDriven.map((cell) => [cellKey(cell.kind, cell.loadBand, cell.fluidTemperatureBand), cell]),
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

interface FleetServiceOptions {
  readonly platforms: PlatformService;
  readonly queries: FleetQueryPool;
}

function inOrder<T extends { readonly rows: readonly { readonly kind: string }[] }>(
  found: T,
  kinds: readonly string[],
): T {
  return { ...found, rows: inPlatformOrder(found.rows, kinds) };
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

/** What is told by shift kind in the order in which the platform has its shifts; unknown kinds last. */
export function inPlatformOrder<T extends { readonly kind: string }>(
  rows: readonly T[],
  order: readonly string[],
): T[] {
  return [...rows].sort((a, b) => placeIn(order, a.kind) - placeIn(order, b.kind));
}

function placeIn(order: readonly string[], value: string): number {
  return order.includes(value) ? order.indexOf(value) : order.length;
}
