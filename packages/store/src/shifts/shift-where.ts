import { and, eq, type SQL, sql } from 'drizzle-orm';
import type { SQLiteColumn } from 'drizzle-orm/sqlite-core';
import type { Scope } from '../actor.js';
import { isInCohort } from '../fleet/cohort.js';
import { shifts } from '../schema/shifts.js';
import { vehicles } from '../schema/vehicles.js';
import { isInScope } from '../vehicles/vehicle-reads.js';
import { GRADE_BITS } from './bit-set.js';
import type { ShiftFilter } from './shifts.js';

/** Shifts of the owner's cars, where the scope names one. */
export function whereScope(scope: Scope): SQL | undefined {
  return ofVehiclesWhere(isInScope(scope));
}

function ofVehiclesWhere(condition: SQL | undefined): SQL | undefined {
  return condition && sql`${shifts.vehicleId} IN (SELECT vehicles.id FROM ${vehicles} WHERE ${condition})`;
}

/** @param areMany whether so much matches that a page is found sooner in the order of the list than by its filter */
export function whereFilter(filter: ShiftFilter, areMany = false): SQL | undefined {
  return and(wherePlace(filter, areMany), whereFacets(filter, areMany));
}

function whereFacets(filter: ShiftFilter, areMany: boolean): SQL | undefined {
  const matches = areMany ? equalsUnindexed : equals;
  return and(
    matches(shifts.revisionId, filter.revisionId),
    equals(shifts.vehicleId, filter.vehicleId),
    matches(shifts.kind, filter.kind),
    equals(shifts.program, filter.program),
    filter.grade && sql`${shifts.grades} & ${GRADE_BITS[filter.grade]} != 0`,
  );
}

/** All of a filter but what facets count. */
export function wherePlace({ dialect, engine, ...filter }: ShiftFilter, areMany = false): SQL | undefined {
  return and(
    // Nearly every shift is of the platform: its index would be the long way to all the others.
    equalsUnindexed(shifts.platformId, filter.platformId),
    equals(shifts.logId, filter.logId),
    ofVehiclesWhere(isInCohort({ dialect, engine })),
    within(areMany ? sql`+${shifts.load}` : sql`${shifts.load}`, filter.loadMin, filter.loadMax),
    within(sql`${shifts.inputSpeedRpm}`, filter.inputSpeedMin, filter.inputSpeedMax),
    within(sql`${shifts.fluidTemperatureC}`, filter.fluidTemperatureMin, filter.fluidTemperatureMax),
  );
}

/** Whether a filter asks only for what the summaries tell apart. */
export function isSummarised(filter: ShiftFilter): boolean {
  const { logId, loadMin, loadMax, inputSpeedMin, inputSpeedMax, fluidTemperatureMin, fluidTemperatureMax } = filter;
  const finer = [logId, loadMin, loadMax, inputSpeedMin, inputSpeedMax, fluidTemperatureMin, fluidTemperatureMax];
  return finer.every((value) => value === undefined);
}

/** Every n-th drive in the order in which they came; all for 1. */
export function whereDrive(everyNth: number): SQL | undefined {
  return everyNth === 1
    ? undefined
    : sql`${shifts.logId} IN (SELECT logs.id FROM logs WHERE logs.rowid % ${everyNth} = 0)`;
}

function equals(column: SQLiteColumn, value: string | undefined): SQL | undefined {
  return value === undefined ? undefined : eq(column, value);
}

/** The + keeps the planner from an index of the column. */
function equalsUnindexed(column: SQLiteColumn, value: string | undefined): SQL | undefined {
  return value === undefined ? undefined : sql`+${column} = ${value}`;
}

function within(column: SQL, low: number | undefined, high: number | undefined): SQL | undefined {
  return and(
    low === undefined ? undefined : sql`${column} >= ${low}`,
    high === undefined ? undefined : sql`${column} < ${high}`,
  );
}
