import {
  addSlices,
  type CellFilter,
  cellOfCoveragePart,
  cellOfKey,
  drivenParts,
  EMPTY_SLICE,
  kindPart,
  type PlacedSlice,
  totalsByPart,
  totalsByVehicle,
} from '@syncline/fleet';
import { and, asc, count, eq, inArray, sql, sum } from 'drizzle-orm';
import type { Scope } from '../actor.js';
import type { Db } from '../database/context.js';
import { calibrations, revisions } from '../schema/calibrations.js';
import { logs } from '../schema/logs.js';
import { fleetSlices } from '../schema/shifts.js';
import { vehicles } from '../schema/vehicles.js';
import { isInScope } from '../vehicles/vehicle-reads.js';
import { cohortIds, cohortValues, isInCohort } from './cohort.js';
import { countColumns, sumColumns, toCounts } from './count-columns.js';
import { strataByDrive } from './drive-strata.js';
import type { FleetFilter, FleetReads, OutcomeCounts, StratumCounts, TrendPoint, VehicleCounts } from './fleet.js';
import { readNames } from './summary-names.js';
import { type SummaryReader, whereFilter } from './summary-reader.js';

export function fleetReads(db: Db, summaries: SummaryReader): FleetReads {
  return {
    overview: (filter) => overview(db, filter),

    cohorts: (platformId) => ({
      ...cohortValues(db, platformId),
      programs: readNames(db, platformId).programs.filter((program) => program !== null),
    }),

    cohortSize: (filter, scope = {}) => cohortIds(db, filter, scope)?.size ?? null,

    slices: (filter) => summaries.slices(filter),
    measures: (filter) => summaries.measures(filter),
    state: (filter) => summaries.state(filter),
    warmUp: () => summaries.warmUp(),
    hasSummaries: () => db.select({ id: fleetSlices.id }).from(fleetSlices).limit(1).get() !== undefined,

    trend: (filter) => trend(db, filter.platformId, totals(db, summaries, filter)),

    titles: (scope, platformId) => titles(db, scope, platformId),

    byVehicle(scope, filter) {
      const counted = totalsOfCars(db, summaries, filter);
      return titles(db, scope, filter.platformId).flatMap((car) => {
        const counts = counted.get(car.vehicleId);
        return counts ? [{ ...car, ...counts }] : [];
      });
    },

    coverage(filter) {
      const { slices, cells, names } = summaries.slices(filter);
      return drivenParts(slices, cells).map(({ part, ...driven }) => {
        const { kind, loadBand, temperatureBand } = cellOfCoveragePart(part);
        return { kind: names.kinds[kind], loadBand, fluidTemperatureBand: temperatureBand, ...driven };
      });
    },

    byRevision: (revisionIds) =>
      db
        .select({ revisionId: fleetSlices.revisionId, vehicleId: fleetSlices.vehicleId, ...countColumns })
        .from(fleetSlices)
        .where(whereRevisions(revisionIds))
        .orderBy(asc(fleetSlices.revisionId), asc(fleetSlices.vehicleId))
        .all(),

    byKind({ vehicleId, ...filter }) {
      const { slices, cells, names } = summaries.slices(ofVehicle(filter, vehicleId), detailFor(filter));
      return mergeRevisions(slices).flatMap(({ vehicleId: id, slice }) =>
        [...totalsByPart(slice, cells, kindPart)].map(([kind, counts]) => ({
          kind: names.kinds[kind],
          vehicleId: id,
          ...toCounts(counts),
        })),
      );
    },

    strataByVehicle({ vehicleId, ...filter }) {
      const { slices, cells, names } = summaries.slices(ofVehicle(filter, vehicleId));
      return mergeRevisions(slices).flatMap((placed) => [...strataOf(placed, cells, names)]);
    },

    strataByDrive: (drives) => strataByDrive(db, drives),
  };
}

function titles(db: Db, scope: Scope, platformId: string): { vehicleId: string; title: string }[] {
  return db
    .select({ vehicleId: vehicles.id, title: vehicles.title })
    .from(vehicles)
    .where(and(eq(vehicles.platformId, platformId), isInScope(scope)))
    .orderBy(asc(sql`${vehicles.title} COLLATE NOCASE`), asc(vehicles.id))
    .all();
}

function ofVehicle(filter: FleetFilter, vehicleId: string | undefined): FleetFilter {
  return vehicleId === undefined ? filter : { ...filter, vehicleIds: [vehicleId] };
}

/** Names the platform too, so that the rows are found by the key. */
function whereRevisions(revisionIds: readonly string[]) {
  const ids = [...revisionIds];
  return and(
    sql`${fleetSlices.platformId} IN (SELECT revisions.platform_id FROM revisions WHERE ${inArray(revisions.id, ids)})`,
    inArray(fleetSlices.revisionId, ids),
  );
}

interface Totals extends VehicleCounts {
  readonly revisionId: string;
}

/** What each car did under each revision, from the columns where no part of it is asked for. */
function totals(db: Db, summaries: SummaryReader, filter: FleetFilter): Totals[] {
  if (isPartial(filter)) {
    const { slices, cells } = summaries.slices(filter, detailFor(filter));
    return slices.flatMap((placed) => {
      const counts = totalsByVehicle([placed], cells).get(placed.vehicleId);
      return counts ? [{ revisionId: placed.revisionId, vehicleId: placed.vehicleId, ...toCounts(counts) }] : [];
    });
  }
  const cohort = cohortIds(db, filter);
  return db
    .select({ revisionId: fleetSlices.revisionId, vehicleId: fleetSlices.vehicleId, ...countColumns })
    .from(fleetSlices)
    .where(whereFilter(filter))
    .orderBy(asc(fleetSlices.vehicleId))
    .all()
    .filter(({ vehicleId }) => cohort === undefined || cohort.has(vehicleId));
}

/** What each car did under all revisions of the filter, by vehicle id. */
function totalsOfCars(db: Db, summaries: SummaryReader, filter: FleetFilter): Map<string, OutcomeCounts> {
  if (isPartial(filter)) {
    const { slices, cells } = summaries.slices(filter, detailFor(filter));
    return new Map([...totalsByVehicle(slices, cells)].map(([vehicleId, counts]) => [vehicleId, toCounts(counts)]));
  }
  const cohort = cohortIds(db, filter);
  const rows = db
    .select({ vehicleId: fleetSlices.vehicleId, ...sumColumns })
    .from(fleetSlices)
    .where(whereFilter(filter))
    .groupBy(fleetSlices.vehicleId)
    .all();
  return new Map(
    rows.flatMap(({ vehicleId, ...counts }) =>
      cohort === undefined || cohort.has(vehicleId) ? [[vehicleId, counts]] : [],
    ),
  );
}

/** Whether a part of what a car did is asked for, which the columns do not tell. */
function isPartial({ program, fluidTemperatureBand }: FleetFilter): boolean {
  return program !== undefined || fluidTemperatureBand !== undefined;
}

/** Where bands are not asked for, sums over them will do. */
function detailFor({ fluidTemperatureBand }: FleetFilter): 'coarse' | 'slice' {
  return fluidTemperatureBand === undefined ? 'coarse' : 'slice';
}

/** The slices of each car under all its revisions together. They come sorted by car. */
function mergeRevisions(slices: readonly PlacedSlice[]): Pick<PlacedSlice, 'vehicleId' | 'slice'>[] {
  const byVehicle = new Map<string, PlacedSlice['slice']>();
  for (const { vehicleId, slice } of slices) {
    byVehicle.set(vehicleId, addSlices(byVehicle.get(vehicleId) ?? EMPTY_SLICE, slice));
  }
  return [...byVehicle].map(([vehicleId, slice]) => ({ vehicleId, slice }));
}

function* strataOf(
  { vehicleId, slice: { keys, counts } }: Pick<PlacedSlice, 'vehicleId' | 'slice'>,
  cells: CellFilter,
  names: ReturnType<typeof readNames>,
): Generator<Omit<StratumCounts, 'revisionId'>> {
  for (let i = 0; i < keys.length; i++) {
    if ((keys[i] & cells.mask) !== cells.value) continue;
    const { kind, loadBand, temperatureBand, program } = cellOfKey(keys[i]);
    yield {
      vehicleId,
      kind: names.kinds[kind],
      loadBand,
      fluidTemperatureBand: temperatureBand,
      program: names.programs[program],
      ...toCounts(counts, i, keys.length),
    };
  }
}

function overview(db: Db, { platformId, ...cohort }: Parameters<FleetReads['overview']>[0]) {
  const ofFleet = and(platformId === undefined ? undefined : eq(vehicles.platformId, platformId), isInCohort(cohort));
  const cars = db.select({ value: count() }).from(vehicles).where(ofFleet).get();
  const drives = db
    .select({
      logs: count(),
      drivenS: sum(logs.durationS).mapWith(Number),
      waitingLogs: sql<number>`coalesce(sum(${logs.state} NOT IN ('ready', 'refused', 'failed')), 0)`,
    })
    .from(logs)
    .innerJoin(vehicles, eq(vehicles.id, logs.vehicleId))
    .where(ofFleet)
    .get();
  const counted = db
    .select({ shifts: sumColumns.shifts })
    .from(fleetSlices)
    .innerJoin(vehicles, eq(vehicles.id, fleetSlices.vehicleId))
    .where(ofFleet)
    .get();
  return {
    vehicles: cars?.value ?? 0,
    logs: drives?.logs ?? 0,
    shifts: counted?.shifts ?? 0,
    drivenS: drives?.drivenS ?? 0,
    waitingLogs: drives?.waitingLogs ?? 0,
  };
}

function trend(db: Db, platformId: string, rows: readonly Totals[]): TrendPoint[] {
  const byRevision = new Map<string, VehicleCounts[]>();
  for (const { revisionId, ...counts } of rows) {
    const group = byRevision.get(revisionId);
    if (group) group.push(counts);
    else byRevision.set(revisionId, [counts]);
  }
  return db
    .select({
      revisionId: revisions.id,
      calibrationTitle: calibrations.title,
      number: revisions.number,
      createdAtMs: revisions.createdAtMs,
    })
    .from(revisions)
    .innerJoin(calibrations, eq(calibrations.id, revisions.calibrationId))
    .where(eq(revisions.platformId, platformId))
    .orderBy(asc(revisions.createdAtMs), asc(revisions.id))
    .all()
    .flatMap((revision) => {
      const byVehicle = byRevision.get(revision.revisionId);
      return byVehicle ? [{ ...revision, byVehicle }] : [];
    });
}
