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
import { asksForBands, bandsAskedBy, whereDrive, whereFilter, wherePlace, whereScope } from './shift-where.js';
import type { FacetValue, ShiftFacets, ShiftFilter } from './shifts.js';
import { type AskedSlices, countSlices, totalOfSlices } from './summarised-shifts.js';

/** Of more shifts than this those of every n-th drive are counted, where the summaries cannot tell. */
export const COUNTED_LIMIT = 200_000;

/** How many shifts match, exactly: from the summaries where they tell, else from the shifts. */
export function countShifts(db: Db, summaries: SummaryReader, scope: Scope, filter: ShiftFilter): number {
  const bands = bandsAskedBy(filter);
  if (bands) return totalFromSummaries(db, summaries, scope, { filter, bands });
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
  const bands = bandsAskedBy(filter);
  const everyNthDrive = bands ? 1 : samplingOf(db, scope, filter, limit);
  const counter = bands
    ? countFromSummaries(db, summaries, scope, { filter, bands })
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

type Asked = Pick<AskedSlices, 'filter' | 'bands'>;

function totalFromSummaries(db: Db, summaries: SummaryReader, scope: Scope, asked: Asked): number {
  const { revisionId } = asked.filter;
  const all = slicesOf(db, summaries, asked, { revisionId, ...cohortOf(db, scope, asked.filter) });
  return all.reduce((sum, slices) => sum + totalOfSlices(slices), 0);
}

/** The summaries of each platform. Without bands to tell apart a tenth of the counts is gone through. */
function slicesOf(
  db: Db,
  summaries: SummaryReader,
  { filter, bands }: Asked,
  cars: Cohort & { readonly revisionId?: string },
): AskedSlices[] {
  const isCoarse = !asksForBands(filter);
  return platformsOf(db, filter.platformId).map((platformId) => {
    const { slices, names } = summaries.slices({ platformId, ...cars }, isCoarse ? 'coarse' : 'slice');
    return { slices, names, filter, bands: isCoarse ? undefined : bands };
  });
}

/** The cars that scope and filter leave. */
function cohortOf(db: Db, scope: Scope, { dialect, engine, vehicleId }: ShiftFilter): Cohort {
  const own = isInScope(scope);
  if (own === undefined) return { dialect, engine, vehicleIds: vehicleId === undefined ? undefined : [vehicleId] };
  const rows = db.select({ id: vehicles.id }).from(vehicles).where(own).all();
  const vehicleIds = rows.map(({ id }) => id).filter((id) => vehicleId === undefined || id === vehicleId);
  return { dialect, engine, vehicleIds };
}

function countFromSummaries(db: Db, summaries: SummaryReader, scope: Scope, asked: Asked): FacetCounter {
  const { filter } = asked;
  const counter = new FacetCounter(filter);
  const cohort = cohortOf(db, scope, { ...filter, vehicleId: undefined });
  for (const slices of slicesOf(db, summaries, asked, cohort)) countSlices(counter, slices);
  return counter;
}

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
