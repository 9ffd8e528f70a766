import {
  and,
  asc,
  count,
  desc,
  eq,
  getTableColumns,
  gte,
  inArray,
  isNotNull,
  isNull,
  lt,
  type SQL,
  sql,
} from 'drizzle-orm';
import type { SQLiteColumn } from 'drizzle-orm/sqlite-core';
import type { Scope } from '../actor.js';
import { revisionNameColumns } from '../calibrations/revision-columns.js';
import type { Db } from '../database/context.js';
import { type PageKey, pageKey, pageOf } from '../page.js';
import { calibrations, revisions } from '../schema/calibrations.js';
import { shifts } from '../schema/shifts.js';
import { vehicles } from '../schema/vehicles.js';
import { isInScope } from '../vehicles/vehicle-reads.js';
import { GRADE_BITS } from './bit-set.js';
import { type JoinedShift, toStoredShift } from './shift-row.js';
import type { EvidenceRow, ShiftFilter, ShiftReads, ShiftSort } from './shifts.js';

const SORT_COLUMNS = {
  newest: shifts.drivenAtMs,
  flareRpm: shifts.flareRpm,
  tieUpDepth: shifts.tieUpDepth,
  peakJerk: shifts.peakJerk,
  inertiaTimeS: shifts.inertiaTimeS,
} satisfies Record<ShiftSort, SQLiteColumn>;

export function shiftReads(db: Db): ShiftReads {
  return {
    list(scope, query, { cursor, limit }) {
      const matches = and(whereFilter(query), whereScope(scope));
      const rows = listRows(db, query.sort, { matches, key: pageKey(cursor), limit: limit + 1 });
      const totalCount = db.select({ value: count() }).from(shifts).where(matches).get()?.value ?? 0;
      return pageOf(rows, {
        limit,
        totalCount,
        keyOf: ({ shift }) => [sortValue(shift, query.sort), shift.id],
        toItem: toStoredShift,
      });
    },

    find(scope, shiftId) {
      const row = selectShifts(db)
        .where(and(eq(shifts.id, shiftId), whereScope(scope)))
        .get();
      return row && toStoredShift(row);
    },

    ofLog: (logId) => selectShifts(db).where(eq(shifts.logId, logId)).orderBy(asc(shifts.id)).all().map(toStoredShift),

    evidence: ({ revisionId, kinds, program }) =>
      db
        .select(evidenceColumns)
        .from(shifts)
        .where(
          and(
            eq(shifts.revisionId, revisionId),
            kinds && inArray(shifts.kind, [...kinds]),
            program === undefined ? undefined : eq(shifts.program, program),
          ),
        )
        .all() satisfies readonly EvidenceRow[],
  };
}

/**
 * Rows in falling order of the sort column, those without a value last. They are asked for in two parts because only
 * a comparison of whole keys, in which NULL never takes part, can go down an index.
 */
function listRows(
  db: Db,
  sort: ShiftSort,
  { matches, key, limit }: { matches: SQL | undefined; key: PageKey | undefined; limit: number },
): JoinedShift[] {
  const column = SORT_COLUMNS[sort];
  const withValue =
    key !== undefined && key[0] === null
      ? []
      : selectShifts(db)
          .where(and(matches, isNotNull(column), key && sql`(${column}, ${shifts.id}) < (${key[0]}, ${key[1]})`))
          .orderBy(desc(column), desc(shifts.id))
          .limit(limit)
          .all();
  if (withValue.length === limit || column.notNull) return withValue;
  const isAfter = key !== undefined && key[0] === null ? lt(shifts.id, String(key[1])) : undefined;
  const without = selectShifts(db)
    .where(and(matches, isNull(column), isAfter))
    .orderBy(desc(shifts.id))
    .limit(limit - withValue.length)
    .all();
  return [...withValue, ...without];
}

function sortValue(shift: JoinedShift['shift'], sort: ShiftSort): number | null {
  return sort === 'newest' ? shift.drivenAtMs : shift[sort];
}

function selectShifts(db: Db) {
  return db
    .select({ shift: getTableColumns(shifts), vehicleTitle: vehicles.title, ...revisionNameColumns })
    .from(shifts)
    .innerJoin(vehicles, eq(vehicles.id, shifts.vehicleId))
    .leftJoin(revisions, eq(revisions.id, shifts.revisionId))
    .leftJoin(calibrations, eq(calibrations.id, revisions.calibrationId));
}

function whereScope(scope: Scope): SQL | undefined {
  const owned = isInScope(scope);
  return owned && sql`${shifts.vehicleId} IN (SELECT vehicles.id FROM vehicles WHERE ${owned})`;
}

function whereFilter(filter: ShiftFilter): SQL | undefined {
  const equals = (column: SQLiteColumn, value: string | undefined) =>
    value === undefined ? undefined : eq(column, value);
  const within = (column: SQLiteColumn, low: number | undefined, high: number | undefined) =>
    and(low === undefined ? undefined : gte(column, low), high === undefined ? undefined : lt(column, high));
  return and(
    equals(shifts.platformId, filter.platformId),
    equals(shifts.revisionId, filter.revisionId),
    equals(shifts.vehicleId, filter.vehicleId),
    equals(shifts.logId, filter.logId),
    equals(shifts.kind, filter.kind),
    equals(shifts.program, filter.program),
    filter.grade && sql`${shifts.grades} & ${GRADE_BITS[filter.grade]} != 0`,
    within(shifts.load, filter.loadMin, filter.loadMax),
    within(shifts.inputSpeedRpm, filter.inputSpeedMin, filter.inputSpeedMax),
    within(shifts.fluidTemperatureC, filter.fluidTemperatureMin, filter.fluidTemperatureMax),
  );
}

const hasGrade = (grade: keyof typeof GRADE_BITS) =>
  sql<boolean>`${shifts.grades} & ${GRADE_BITS[grade]}`.mapWith((bits: number) => bits !== 0);

const isKnown = (column: typeof shifts.inertiaStartS | typeof shifts.tieUpDepth) =>
  sql<boolean>`${column} IS NOT NULL`.mapWith((value: number) => value !== 0);

const evidenceColumns = {
  vehicleId: shifts.vehicleId,
  kind: shifts.kind,
  from: shifts.from,
  to: shifts.to,
  program: shifts.program,
  load: shifts.load,
  engineSpeedRpm: shifts.engineSpeedRpm,
  inputSpeedRpm: shifts.inputSpeedRpm,
  outputSpeedRpm: shifts.outputSpeedRpm,
  fluidTemperatureC: shifts.fluidTemperatureC,
  pedal: shifts.pedal,
  applyPressureKpa: shifts.applyPressureKpa,
  isFlare: hasGrade('flare'),
  isTieUp: hasGrade('tie-up'),
  isFlareMeasured: isKnown(shifts.inertiaStartS),
  isTieUpMeasured: isKnown(shifts.tieUpDepth),
};
