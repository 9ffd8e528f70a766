import { and, asc, desc, eq, getTableColumns, inArray, isNotNull, isNull, lt, type SQL, sql } from 'drizzle-orm';
import type { SQLiteColumn } from 'drizzle-orm/sqlite-core';
import { revisionNameColumns } from '../calibrations/revision-columns.js';
import type { Db } from '../database/context.js';
import type { SummaryReader } from '../fleet/summary-reader.js';
import { type PageKey, pageKey, pageOf } from '../page.js';
import { calibrations, revisions } from '../schema/calibrations.js';
import { shifts } from '../schema/shifts.js';
import { vehicles } from '../schema/vehicles.js';
import { GRADE_BITS } from './bit-set.js';
import { countShifts, shiftFacets } from './shift-counts.js';
import { shiftDistribution } from './shift-distribution.js';
import { type JoinedShift, toStoredShift } from './shift-row.js';
import { whereFilter, whereScope } from './shift-where.js';
import type { EvidenceRow, ShiftReads, ShiftSort } from './shifts.js';

const SORT_COLUMNS = {
  newest: shifts.drivenAtMs,
  flareRpm: shifts.flareRpm,
  tieUpDepth: shifts.tieUpDepth,
  peakJerk: shifts.peakJerk,
  inertiaTimeS: shifts.inertiaTimeS,
} satisfies Record<ShiftSort, SQLiteColumn>;

export function shiftReads(db: Db, summaries: SummaryReader): ShiftReads {
  return {
    list(scope, query, { cursor, limit }) {
      const key = pageKey(cursor);
      const totalCount = countShifts(db, summaries, scope, query);
      const areMany = totalCount > 0 && isSoonerInOrder(db, totalCount, limit);
      const matches = and(whereFilter(query, areMany), whereScope(scope));
      const rows = totalCount === 0 ? [] : listRows(db, query.sort, { matches, key, limit: limit + 1 });
      return pageOf(rows, {
        limit,
        totalCount,
        keyOf: ({ shift }) => [sortValue(shift, query.sort), shift.id],
        toItem: toStoredShift,
      });
    },

    facets: (scope, filter) => shiftFacets(db, summaries, scope, filter),

    distribution: (scope, query) => shiftDistribution(db, summaries, scope, query),

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
 * Rows in falling order of the sort column, those without a value last. Which they are is found first: whatever has to
 * be sorted or passed over for a page is then an id and a number, not a row of sixty columns.
 */
function listRows(db: Db, sort: ShiftSort, page: ListedPage): JoinedShift[] {
  const ids = listIds(db, sort, page);
  const rows = selectShifts(db).where(inArray(shifts.id, ids)).all();
  const placeOf = new Map(ids.map((id, place) => [id, place]));
  return rows.sort((a, b) => (placeOf.get(a.shift.id) ?? 0) - (placeOf.get(b.shift.id) ?? 0));
}

/**
 * Whether a page of so many matches is full, going down the order of the list, before as many others were passed over as
 * there are matches to fetch and sort. Rows are numbered as they come, so that the last number tells how many there are.
 */
function isSoonerInOrder(db: Db, matchCount: number, limit: number): boolean {
  const last = db.get<{ rowid: number }>(sql`SELECT max(rowid) AS rowid FROM shifts`);
  return matchCount ** 2 > limit * (last?.rowid ?? 0);
}

interface ListedPage {
  readonly matches: SQL | undefined;
  readonly key: PageKey | undefined;
  readonly limit: number;
}

/** In two parts, because only a comparison of whole keys, in which NULL never takes part, can go down an index. */
function listIds(db: Db, sort: ShiftSort, { matches, key, limit }: ListedPage): string[] {
  const column = SORT_COLUMNS[sort];
  const select = (where: SQL | undefined, order: readonly SQL[], most: number) =>
    db
      .select({ id: shifts.id })
      .from(shifts)
      .where(and(matches, where))
      .orderBy(...order)
      .limit(most)
      .all()
      .map(({ id }) => id);
  const isPastValues = key !== undefined && key[0] === null;
  const isAfter = key && sql`(${column}, ${shifts.id}) < (${key[0]}, ${key[1]})`;
  const withValue = isPastValues ? [] : select(and(isNotNull(column), isAfter), [desc(column), desc(shifts.id)], limit);
  if (withValue.length === limit || column.notNull) return withValue;
  const isAfterId = isPastValues ? lt(shifts.id, String(key[1])) : undefined;
  const without = select(and(isNull(column), isAfterId), [desc(shifts.id)], limit - withValue.length);
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
