import { and, asc, count, countDistinct, eq, inArray, ne, type SQL, sql, sum } from 'drizzle-orm';
import type { Db } from '../database/context.js';
import { calibrations, revisions } from '../schema/calibrations.js';
import { logs } from '../schema/logs.js';
import { outcomeCounts } from '../schema/shifts.js';
import { vehicles } from '../schema/vehicles.js';
import { isInScope } from '../vehicles/vehicle-reads.js';
import { sumColumns } from './count-columns.js';
import type { DriveStratum, FleetFilter, FleetReads, OutcomeCounts, TrendPoint } from './fleet.js';
import { COUNTED_SHIFTS, type CountRow, toCounts } from './summaries.js';

export function fleetReads(db: Db): FleetReads {
  return {
    overview: ({ platformId }) => overview(db, platformId),

    matrix: (filter) =>
      db
        .select({
          kind: outcomeCounts.kind,
          loadBand: outcomeCounts.loadBand,
          vehicleId: outcomeCounts.vehicleId,
          ...sumColumns,
        })
        .from(outcomeCounts)
        .where(whereFilter(filter))
        .groupBy(outcomeCounts.kind, outcomeCounts.loadBand, outcomeCounts.vehicleId)
        .all(),

    trend: (platformId) => trend(db, platformId),

    byVehicle: (scope, filter) =>
      db
        .select({ vehicleId: vehicles.id, title: vehicles.title, ...sumColumns })
        .from(outcomeCounts)
        .innerJoin(vehicles, eq(vehicles.id, outcomeCounts.vehicleId))
        .where(and(whereFilter(filter), isInScope(scope)))
        .groupBy(vehicles.id)
        .orderBy(asc(sql`${vehicles.title} COLLATE NOCASE`), asc(vehicles.id))
        .all(),

    coverage: (filter) =>
      db
        .select({
          kind: outcomeCounts.kind,
          loadBand: outcomeCounts.loadBand,
          fluidTemperatureBand: outcomeCounts.fluidTemperatureBand,
          shifts: sumColumns.shifts,
          vehicles: countDistinct(outcomeCounts.vehicleId),
        })
        .from(outcomeCounts)
        .where(whereFilter(filter))
        .groupBy(outcomeCounts.kind, outcomeCounts.loadBand, outcomeCounts.fluidTemperatureBand)
        .all(),

    byRevision: (revisionIds) =>
      db
        .select({ revisionId: outcomeCounts.revisionId, vehicleId: outcomeCounts.vehicleId, ...sumColumns })
        .from(outcomeCounts)
        .where(whereRevisions(revisionIds))
        .groupBy(outcomeCounts.revisionId, outcomeCounts.vehicleId)
        .all(),

    byKind: ({ vehicleId, ...filter }) =>
      db
        .select({ kind: outcomeCounts.kind, vehicleId: outcomeCounts.vehicleId, ...sumColumns })
        .from(outcomeCounts)
        .where(and(whereFilter(filter), vehicleId === undefined ? undefined : eq(outcomeCounts.vehicleId, vehicleId)))
        .groupBy(outcomeCounts.kind, outcomeCounts.vehicleId)
        .all(),

    strata: (revisionIds) =>
      db
        .select({
          revisionId: outcomeCounts.revisionId,
          vehicleId: outcomeCounts.vehicleId,
          kind: outcomeCounts.kind,
          loadBand: outcomeCounts.loadBand,
          fluidTemperatureBand: outcomeCounts.fluidTemperatureBand,
          program: sql<string | null>`nullif(${outcomeCounts.program}, '')`,
          ...sumColumns,
        })
        .from(outcomeCounts)
        .where(whereRevisions(revisionIds))
        .groupBy(
          outcomeCounts.revisionId,
          outcomeCounts.vehicleId,
          outcomeCounts.kind,
          outcomeCounts.loadBand,
          outcomeCounts.fluidTemperatureBand,
          outcomeCounts.program,
        )
        .all(),

    strataByVehicle: (filter) =>
      db
        .select({
          vehicleId: outcomeCounts.vehicleId,
          kind: outcomeCounts.kind,
          loadBand: outcomeCounts.loadBand,
          fluidTemperatureBand: outcomeCounts.fluidTemperatureBand,
          program: sql<string | null>`nullif(${outcomeCounts.program}, '')`,
          ...sumColumns,
        })
        .from(outcomeCounts)
        .where(whereFilter(filter))
        .groupBy(
          outcomeCounts.vehicleId,
          outcomeCounts.kind,
          outcomeCounts.loadBand,
          outcomeCounts.fluidTemperatureBand,
          outcomeCounts.program,
        )
        .all(),

    strataByDrive: (drives) => strataByDrive(db, drives),
  };
}

function whereFilter(filter: FleetFilter): SQL | undefined {
  return and(
    eq(outcomeCounts.platformId, filter.platformId),
    filter.revisionId === undefined ? undefined : eq(outcomeCounts.revisionId, filter.revisionId),
    filter.program === undefined ? undefined : eq(outcomeCounts.program, filter.program),
    filter.fluidTemperatureBand === undefined
      ? undefined
      : eq(outcomeCounts.fluidTemperatureBand, filter.fluidTemperatureBand),
  );
}

/** Names the platform too, so that the rows are found by the key. */
function whereRevisions(revisionIds: readonly string[]): SQL | undefined {
  const ids = [...revisionIds];
  return and(
    sql`${outcomeCounts.platformId} IN (SELECT revisions.platform_id FROM revisions WHERE ${inArray(revisions.id, ids)})`,
    inArray(outcomeCounts.revisionId, ids),
  );
}

function overview(db: Db, platformId: string | undefined): ReturnType<FleetReads['overview']> {
  const ofPlatform = platformId === undefined ? undefined : eq(vehicles.platformId, platformId);
  const cars = db.select({ value: count() }).from(vehicles).where(ofPlatform).get();
  const drives = db
    .select({
      logs: count(),
      drivenS: sum(logs.durationS).mapWith(Number),
      waitingLogs: sql<number>`coalesce(sum(${logs.state} NOT IN ('ready', 'refused', 'failed')), 0)`,
    })
    .from(logs)
    .innerJoin(vehicles, eq(vehicles.id, logs.vehicleId))
    .where(ofPlatform)
    .get();
  const counted = db
    .select({ shifts: sumColumns.shifts })
    .from(outcomeCounts)
    .where(platformId === undefined ? undefined : eq(outcomeCounts.platformId, platformId))
    .get();
  return {
    vehicles: cars?.value ?? 0,
    logs: drives?.logs ?? 0,
    shifts: counted?.shifts ?? 0,
    drivenS: drives?.drivenS ?? 0,
    waitingLogs: drives?.waitingLogs ?? 0,
  };
}

/** From the shifts themselves: the summary does not tell drives apart. One car has few enough of them. */
function strataByDrive(db: Db, { vehicleId, untilMs }: { vehicleId: string; untilMs: number }): DriveStratum[] {
  const rows = db.all<CountRow & Omit<DriveStratum, keyof OutcomeCounts>>(sql`
    SELECT
      shifts.log_id AS logId, shifts.revision_id AS revisionId, shifts.driven_at_ms AS drivenAtMs, shifts.kind AS kind,
      shifts.load_band AS loadBand, shifts.fluid_temperature_band AS fluidTemperatureBand, shifts.program AS program,
      ${COUNTED_SHIFTS}
    FROM shifts WHERE shifts.vehicle_id = ${vehicleId} AND shifts.driven_at_ms <= ${untilMs}
    GROUP BY 1, 2, 3, 4, 5, 6, 7`);
  return rows.map((row) => {
    const { logId, revisionId, drivenAtMs, kind, loadBand, fluidTemperatureBand, program } = row;
    return { logId, revisionId, drivenAtMs, kind, loadBand, fluidTemperatureBand, program, ...toCounts(row) };
  });
}

function trend(db: Db, platformId: string): TrendPoint[] {
  const rows = db
    .select({
      revisionId: revisions.id,
      calibrationTitle: calibrations.title,
      number: revisions.number,
      createdAtMs: revisions.createdAtMs,
      vehicleId: outcomeCounts.vehicleId,
      ...sumColumns,
    })
    .from(outcomeCounts)
    .innerJoin(revisions, eq(revisions.id, outcomeCounts.revisionId))
    .innerJoin(calibrations, eq(calibrations.id, revisions.calibrationId))
    .where(and(eq(outcomeCounts.platformId, platformId), ne(outcomeCounts.revisionId, '')))
    .groupBy(revisions.id, outcomeCounts.vehicleId)
    .orderBy(asc(revisions.createdAtMs), asc(revisions.id), asc(outcomeCounts.vehicleId))
    .all();
  const points = new Map<string, TrendPoint & { byVehicle: TrendPoint['byVehicle'][number][] }>();
  for (const { revisionId, calibrationTitle, number, createdAtMs, ...counts } of rows) {
    const point = points.get(revisionId) ?? { revisionId, calibrationTitle, number, createdAtMs, byVehicle: [] };
    point.byVehicle.push(counts);
    points.set(revisionId, point);
  }
  return [...points.values()];
}
