import { and, eq, gte, lt, type SQL, sql } from 'drizzle-orm';
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

export function whereFilter(filter: ShiftFilter): SQL | undefined {
  return and(wherePlace(filter), whereFacets(filter));
}

function whereFacets(filter: ShiftFilter): SQL | undefined {
  return and(
    equals(shifts.revisionId, filter.revisionId),
    equals(shifts.vehicleId, filter.vehicleId),
    equals(shifts.kind, filter.kind),
    equals(shifts.program, filter.program),
    filter.grade && sql`${shifts.grades} & ${GRADE_BITS[filter.grade]} != 0`,
  );
}

/** All of a filter but what facets count. */
export function wherePlace({ dialect, engine, ...filter }: ShiftFilter): SQL | undefined {
  return and(
    equals(shifts.platformId, filter.platformId),
    equals(shifts.logId, filter.logId),
    ofVehiclesWhere(isInCohort({ dialect, engine })),
    within(shifts.load, filter.loadMin, filter.loadMax),
    within(shifts.inputSpeedRpm, filter.inputSpeedMin, filter.inputSpeedMax),
    within(shifts.fluidTemperatureC, filter.fluidTemperatureMin, filter.fluidTemperatureMax),
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

function within(column: SQLiteColumn, low: number | undefined, high: number | undefined): SQL | undefined {
  return and(low === undefined ? undefined : gte(column, low), high === undefined ? undefined : lt(column, high));
}
