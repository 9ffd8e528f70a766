import type { Platform } from '@syncline/calibration';
import {
  type CarRecord,
  type CarShifts,
  type CarSuitability,
  type CellEvidence,
  type CoverageGap,
  type CoverageModel,
  DEFAULT_FLEET_BANDS,
  DEFAULT_GAP_OPTIONS,
  modelCoverage,
  type OperatingCell,
  suitCars,
} from '@syncline/fleet';
import type { AskableCar, FleetFilter, Store, StratumCounts } from '@syncline/store';
import { problem } from '../../problem-error.js';
import type { PlatformService } from '../platforms.js';
import { groupBy, trialsOf } from '../rates.js';

/** What is asked about: a platform, perhaps one revision or one program of it. */
export type GapFilter = Pick<FleetFilter, 'platformId' | 'revisionId' | 'program'>;

export interface RankedGaps {
  readonly platform: Platform;
  readonly gaps: readonly CoverageGap[];
  readonly model: CoverageModel;
}

/** A car with what it could bring to a point. */
export interface SuitedCar extends CarSuitability {
  readonly car: AskableCar;
}

export type GapService = ReturnType<typeof createGapService>;

/** Where a drive would tell most of the flare rate, and which cars could go there. */
export function createGapService({ read }: Store, { platforms, clock }: GapServiceOptions) {
  function assess(filter: GapFilter) {
    const { platform } = platforms.get(filter.platformId);
    const cars = read.requests.cars({ platformId: filter.platformId });
    const dialectOf = new Map(cars.map((car) => [car.vehicleId, car.observedDialect]));
    const strata = groupBy(read.fleet.strataByVehicle(filter), cellKey);
    const cells = gridOf(platform).map((cell): CellEvidence => {
      const rows = strata.get(cellKey({ ...cell, fluidTemperatureBand: cell.temperatureBand })) ?? [];
      return { ...cell, cars: carsOf(rows, dialectOf) };
    });
    const spoken = new Set(cars.flatMap(({ observedDialect }) => observedDialect ?? []));
    const dialects = platform.dialects.map(({ id }) => id).filter((id) => spoken.has(id));
    return { platform, cars, model: modelCoverage(cells, { ...DEFAULT_GAP_OPTIONS, dialects }) };
  }

  /** Throws `driveRequest.unknownPoint`. */
  function explain(
    { platform, model }: ReturnType<typeof assess>,
    filter: GapFilter,
    cell: OperatingCell,
  ): CoverageGap {
    const found = model.assess(cell);
    const isProgram = filter.program === undefined || platform.programs.some(({ id }) => id === filter.program);
    if (found && isProgram) return found;
    const what = found ? `program '${filter.program}'` : describeCell(cell);
    throw problem('driveRequest.unknownPoint', { detail: `${platform.title} has no ${what}.` });
  }

  return {
    /** Points that lack shifts, cars or a dialect, those where a drive tells most first. */
    rank(filter: GapFilter): RankedGaps {
      const { platform, model } = assess(filter);
      return { platform, model, gaps: model.gaps() };
    },

    /** What is known of one point, whether it lacks anything or not. */
    explain: (filter: GapFilter, cell: OperatingCell): CoverageGap => explain(assess(filter), filter, cell),

    /** Cars of the platform, those worth asking first. */
    suit(filter: GapFilter, cell: OperatingCell): SuitedCar[] {
      const assessed = assess(filter);
      const { missingDialects } = explain(assessed, filter, cell);
      const records = recordsOf(assessed.cars, read.fleet.strataByVehicle({ platformId: filter.platformId }));
      const byId = new Map(assessed.cars.map((car) => [car.vehicleId, car]));
      const request = { ...cell, revisionId: filter.revisionId ?? null, missingDialects };
      return suitCars(assessed.model, request, { cars: records, nowMs: clock() }).flatMap((suited) => {
        const car = byId.get(suited.vehicleId);
        return car ? [{ ...suited, car }] : [];
      });
    },
  };
}

interface GapServiceOptions {
  readonly platforms: PlatformService;
  readonly clock: () => number;
}

type Stratum = Omit<StratumCounts, 'revisionId'>;

const { load: LOAD, temperature: TEMPERATURE } = DEFAULT_FLEET_BANDS;

/** Every shift of the platform in every band. */
function gridOf(platform: Platform): OperatingCell[] {
  const bands = (edges: readonly number[]) => Array.from({ length: edges.length + 1 }, (_, band) => band);
  return platform.shifts.flatMap(({ id: kind }) =>
    bands(LOAD.edges).flatMap((loadBand) =>
      bands(TEMPERATURE.edges).map((temperatureBand) => ({ kind, loadBand, temperatureBand })),
    ),
  );
}

/** What each car drove in one cell, its programs together. */
function carsOf(rows: readonly Stratum[], dialectOf: ReadonlyMap<string, string | null>): CarShifts[] {
  return [...groupBy(rows, ({ vehicleId }) => vehicleId)].map(([vehicleId, own]) => ({
    vehicleId,
    dialect: dialectOf.get(vehicleId) ?? null,
    shifts: own.reduce((sum, counts) => sum + trialsOf(counts, 'flare'), 0),
    events: own.reduce((sum, { flare }) => sum + flare, 0),
  }));
}

/** The cars with everything that they drove, under any revision. */
function recordsOf(cars: readonly AskableCar[], strata: readonly Stratum[]): CarRecord[] {
  const byVehicle = groupBy(strata, ({ vehicleId }) => vehicleId);
  return cars.map(({ vehicleId, observedDialect, isDialectCleared, revision, lastDrivenAtMs }) => ({
    vehicleId,
    dialect: observedDialect,
    isCleared: isDialectCleared,
    revisionId: revision?.id ?? null,
    lastDrivenAtMs,
    driven: (byVehicle.get(vehicleId) ?? []).map(({ kind, loadBand, fluidTemperatureBand, shifts }) => ({
      kind,
      loadBand,
      temperatureBand: fluidTemperatureBand,
      shifts,
    })),
  }));
}

function cellKey({
  kind,
  loadBand,
  fluidTemperatureBand,
}: Pick<Stratum, 'kind' | 'loadBand' | 'fluidTemperatureBand'>) {
  return `${kind}|${loadBand}|${fluidTemperatureBand}`;
}

function describeCell({ kind, loadBand, temperatureBand }: OperatingCell): string {
  return `shift '${kind}' in load band ${loadBand} and fluid temperature band ${temperatureBand}`;
}
