import { columnOf, kindPart, MAX_PROGRAM, programPart, type SliceCount, totalsByPart } from '@syncline/fleet';
import type { Grade } from '@syncline/shifts';
import { and, count, eq, sql } from 'drizzle-orm';
import type { Scope } from '../actor.js';
import type { Db } from '../database/context.js';
import { isInCohort } from '../fleet/cohort.js';
import type { Cohort } from '../fleet/fleet.js';
import type { SummaryReader } from '../fleet/summary-reader.js';
import { calibrations, revisions } from '../schema/calibrations.js';
import { fleetSlices, shifts } from '../schema/shifts.js';
import { vehicles } from '../schema/vehicles.js';
import { isInScope } from '../vehicles/vehicle-reads.js';
import { GRADE_BITS } from './bit-set.js';
import { FacetCounter, GRADES } from './facet-counter.js';
import { isSummarised, whereDrive, whereFilter, wherePlace, whereScope } from './shift-where.js';
import type { FacetValue, ShiftFacets, ShiftFilter } from './shifts.js';

/** Of more shifts than this those of every n-th drive are counted, where the summaries cannot tell. */
export const COUNTED_LIMIT = 200_000;

const COLUMN_OF_GRADE: Readonly<Record<Grade | 'shifts', SliceCount>> = {
  shifts: 'shifts',
  clean: 'clean',
  flare: 'flare',
  'tie-up': 'tieUp',
  harsh: 'harsh',
  slow: 'slow',
  incomplete: 'incomplete',
};

/** How many shifts match, exactly: from the summaries where they tell, else from the shifts. */
export function countShifts(db: Db, summaries: SummaryReader, scope: Scope, filter: ShiftFilter): number {
  if (isSummarised(filter)) return totalFromSummaries(db, summaries, scope, filter);
  return (
    db
      .select({ value: count() })
      .from(shifts)
      .where(and(whereFilter(filter), whereScope(scope)))
      .get()?.value ?? 0
  );
}

/** See `ShiftReads.facets`. @param limit of shifts that are gone through, about */
export function shiftFacets(
  db: Db,
  summaries: SummaryReader,
  scope: Scope,
  filter: ShiftFilter,
  limit = COUNTED_LIMIT,
): ShiftFacets {
  const everyNthDrive = isSummarised(filter) ? 1 : samplingOf(db, scope, filter, limit);
  const counter = isSummarised(filter)
    ? countFromSummaries(db, summaries, scope, filter)
    : countFromShifts(db, scope, filter, everyNthDrive);
  const { vehicleId, revisionId, kind, program } = counter.by;
  const plain = (counts: ReadonlyMap<string, number>) =>
    [...counts].map(([value, found]) => ({ value, label: value, shifts: found })).sort(byLabel);
  return {
    everyNthDrive,
    totalCount: counter.total,
    kinds: plain(kind),
    grades: GRADES.flatMap((grade) => {
      const found = counter.byGrade.get(grade);
      return found ? [{ value: grade, label: grade, shifts: found }] : [];
    }),
    programs: plain(program),
    revisions: revisionLabels(db, revisionId),
    vehicles: vehicleLabels(db, vehicleId),
  };
}

/** Every which drive has to do for all, so that no more than some `limit` shifts are gone through. */
export function samplingOf(db: Db, scope: Scope, filter: ShiftFilter, limit: number): number {
  if (filter.logId !== undefined) return 1;
  const { dialect, engine, platformId } = filter;
  const row = db
    .select({ value: sql<number>`coalesce(sum(${fleetSlices.shifts}), 0)` })
    .from(fleetSlices)
    .innerJoin(vehicles, eq(vehicles.id, fleetSlices.vehicleId))
    .where(
      and(
        platformId === undefined ? undefined : eq(fleetSlices.platformId, platformId),
        isInScope(scope),
        isInCohort({ dialect, engine }),
      ),
    )
    .get();
  return Math.max(1, Math.ceil((row?.value ?? 0) / limit));
}

function totalFromSummaries(db: Db, summaries: SummaryReader, scope: Scope, filter: ShiftFilter): number {
  const { platformId, revisionId, kind, program, grade = 'shifts' } = filter;
  const cohort = cohortOf(db, scope, filter);
  let total = 0;
  for (const id of platformsOf(db, platformId)) {
    const { slices, cells, names } = summaries.slices({ platformId: id, revisionId, program, ...cohort });
    const number = kind === undefined ? undefined : names.kinds.indexOf(kind);
    for (const { slice } of slices) {
      const at = COLUMN_AT[grade] * slice.keys.length;
      for (let i = 0; i < slice.keys.length; i++) {
        const isAsked = number === undefined || kindPart(slice.keys[i]) === number;
        if (isAsked && (slice.keys[i] & cells.mask) === cells.value) total += slice.counts[at + i];
      }
    }
  }
  return total;
}

/** The cars that scope and filter leave. */
function cohortOf(db: Db, scope: Scope, { dialect, engine, vehicleId }: ShiftFilter): Cohort {
  const own = isInScope(scope);
  if (own === undefined) return { dialect, engine, vehicleIds: vehicleId === undefined ? undefined : [vehicleId] };
  const rows = db.select({ id: vehicles.id }).from(vehicles).where(own).all();
  const vehicleIds = rows.map(({ id }) => id).filter((id) => vehicleId === undefined || id === vehicleId);
  return { dialect, engine, vehicleIds };
}

function countFromSummaries(db: Db, summaries: SummaryReader, scope: Scope, filter: ShiftFilter): FacetCounter {
  const counter = new FacetCounter(filter);
  const cohort = cohortOf(db, scope, { ...filter, vehicleId: undefined });
  for (const platformId of platformsOf(db, filter.platformId)) {
    const { slices, cells, names } = summaries.slices({ platformId, ...cohort });
    for (const { vehicleId, revisionId, slice } of slices) {
      const parts = totalsByPart(slice, cells, (key) => kindPart(key) * PROGRAM_LIMIT + programPart(key));
      for (const [part, counts] of parts) {
        const kind = names.kinds[Math.floor(part / PROGRAM_LIMIT)];
        const program = names.programs[part % PROGRAM_LIMIT];
        counter.add({ vehicleId, revisionId: revisionId || null, kind, program }, (what) => counts[COLUMN_AT[what]]);
      }
    }
  }
  return counter;
}

const PROGRAM_LIMIT = MAX_PROGRAM + 1;

const COLUMN_AT = Object.fromEntries(
  Object.entries(COLUMN_OF_GRADE).map(([grade, column]) => [grade, columnOf(column)]),
) as Readonly<Record<Grade | 'shifts', number>>;

function platformsOf(db: Db, platformId: string | undefined): string[] {
  if (platformId !== undefined) return [platformId];
  return db
    .selectDistinct({ id: fleetSlices.platformId })
    .from(fleetSlices)
    .all()
    .map(({ id }) => id);
}

function countFromShifts(db: Db, scope: Scope, filter: ShiftFilter, everyNthDrive: number): FacetCounter {
  const counter = new FacetCounter(filter);
  const rows = db
    .select({
      vehicleId: shifts.vehicleId,
      revisionId: shifts.revisionId,
      kind: shifts.kind,
      program: shifts.program,
      grades: shifts.grades,
      found: count(),
    })
    .from(shifts)
    .where(and(wherePlace(filter), whereScope(scope), whereDrive(everyNthDrive)))
    .groupBy(shifts.vehicleId, shifts.revisionId, shifts.kind, shifts.program, shifts.grades)
    .all();
  for (const { grades, found, ...place } of rows) {
    const has = (what: Grade | 'shifts') => what === 'shifts' || (grades & GRADE_BITS[what]) !== 0;
    counter.add(place, (what) => (has(what) ? found * everyNthDrive : 0));
  }
  return counter;
}

function revisionLabels(db: Db, counts: ReadonlyMap<string, number>): FacetValue[] {
  return db
    .select({ id: revisions.id, title: calibrations.title, number: revisions.number })
    .from(revisions)
    .innerJoin(calibrations, eq(calibrations.id, revisions.calibrationId))
    .orderBy(sql`${calibrations.title} COLLATE NOCASE`, revisions.number)
    .all()
    .flatMap(({ id, title, number }) => {
      const found = counts.get(id);
      return found ? [{ value: id, label: `${title} r${number}`, shifts: found }] : [];
    });
}

function vehicleLabels(db: Db, counts: ReadonlyMap<string, number>): FacetValue[] {
  return db
    .select({ id: vehicles.id, title: vehicles.title })
    .from(vehicles)
    .orderBy(sql`${vehicles.title} COLLATE NOCASE`, vehicles.id)
    .all()
    .flatMap(({ id, title }) => {
      const found = counts.get(id);
      return found ? [{ value: id, label: title, shifts: found }] : [];
    });
}

function byLabel(a: FacetValue, b: FacetValue): number {
  return a.label < b.label ? -1 : 1;
}
