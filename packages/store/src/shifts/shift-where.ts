import { type Banding, DEFAULT_FLEET_BANDS, UNKNOWN_BAND } from '@syncline/fleet';
import type { Grade } from '@syncline/shifts';
import { and, eq, inArray, type SQL, sql } from 'drizzle-orm';
import type { SQLiteColumn } from 'drizzle-orm/sqlite-core';
import type { Scope } from '../actor.js';
import { isInCohort } from '../fleet/cohort.js';
import { shifts } from '../schema/shifts.js';
import { vehicles } from '../schema/vehicles.js';
import { isInScope } from '../vehicles/vehicle-reads.js';
import { GRADE_BITS, setsWith } from './bit-set.js';
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
    filter.grade && whereGrade(filter.grade, areMany),
  );
}

function whereGrade(grade: Grade, areMany: boolean): SQL {
  return areMany
    ? sql`${shifts.grades} & ${GRADE_BITS[grade]} != 0`
    : inArray(shifts.grades, setsWith(GRADE_BITS, grade));
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

interface BandRange {
  readonly first: number;
  readonly last: number;
}

/** The bands that a filter asks for, both ends included. */
export interface AskedBands {
  readonly load: BandRange;
  readonly temperature: BandRange;
}

/** Undefined where a filter asks for what the summaries do not tell apart: one drive, an input speed, part of a band. */
export function bandsAskedBy(filter: ShiftFilter): AskedBands | undefined {
  const { logId, inputSpeedMin, inputSpeedMax } = filter;
  if ([logId, inputSpeedMin, inputSpeedMax].some((value) => value !== undefined)) return undefined;
  const load = bandsBetween(DEFAULT_FLEET_BANDS.load, filter.loadMin, filter.loadMax);
  const { fluidTemperatureMin, fluidTemperatureMax } = filter;
  const temperature = bandsBetween(DEFAULT_FLEET_BANDS.temperature, fluidTemperatureMin, fluidTemperatureMax);
  return load && temperature && { load, temperature };
}

/** Whether a filter tells bands apart at all. */
export function asksForBands({ loadMin, loadMax, fluidTemperatureMin, fluidTemperatureMax }: ShiftFilter): boolean {
  return [loadMin, loadMax, fluidTemperatureMin, fluidTemperatureMax].some((value) => value !== undefined);
}

/** The bands that a range is made of: all, that of what was not logged included, for an open one. */
function bandsBetween({ edges }: Banding, low?: number, high?: number): BandRange | undefined {
  if (low === undefined && high === undefined) return { first: UNKNOWN_BAND, last: edges.length };
  const first = low === undefined ? 0 : 1 + edges.indexOf(low);
  const last = high === undefined ? edges.length : edges.indexOf(high);
  const isExact = (low === undefined || first > 0) && (high === undefined || last >= 0);
  return isExact ? { first, last } : undefined;
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
