import { and, asc, count, eq, inArray, type SQL, sql } from 'drizzle-orm';
import type { Scope } from '../actor.js';
import type { Db } from '../database/context.js';
import { vehicles } from '../schema/vehicles.js';
import { isInScope } from '../vehicles/vehicle-reads.js';
import type { Cohort, CohortValue } from './fleet.js';

/** The bus dialect of a car as far as it is known: observed, else declared. */
const dialect = sql<string | null>`coalesce((
  SELECT newest.dialect FROM dialect_observations AS newest
  WHERE newest.vehicle_id = vehicles.id
  ORDER BY newest.observed_at_ms DESC, newest.id DESC LIMIT 1), vehicles.declared_dialect)`;

/** Narrows the vehicles table to a cohort; undefined when it is everybody. */
export function isInCohort(cohort: Cohort): SQL | undefined {
  return and(
    cohort.dialect === undefined ? undefined : sql`${dialect} = ${cohort.dialect}`,
    cohort.engine === undefined ? undefined : eq(vehicles.engine, cohort.engine),
    cohort.vehicleIds === undefined ? undefined : inArray(vehicles.id, [...cohort.vehicleIds]),
  );
}

/** The cars of a cohort; undefined when it is everybody. */
export function cohortIds(
  db: Db,
  { platformId, ...cohort }: Cohort & { readonly platformId?: string },
  scope: Scope = {},
) {
  const narrowed = isInCohort(cohort);
  if (narrowed === undefined) return undefined;
  const ofPlatform = platformId === undefined ? undefined : eq(vehicles.platformId, platformId);
  const rows = db
    .select({ id: vehicles.id })
    .from(vehicles)
    .where(and(ofPlatform, narrowed, isInScope(scope)))
    .all();
  return new Set(rows.map(({ id }) => id));
}

/** Dialects that cars of a platform speak, and their engines, with how many cars have each. */
export function cohortValues(db: Db, platformId: string): Record<'dialects' | 'engines', CohortValue[]> {
  const valuesOf = (value: SQL<string | null>) =>
    db
      .select({ value, vehicles: count() })
      .from(vehicles)
      .where(and(eq(vehicles.platformId, platformId), sql`${value} IS NOT NULL AND ${value} <> ''`))
      .groupBy(value)
      .orderBy(asc(value))
      .all()
      .flatMap((row) => (row.value === null ? [] : [{ value: row.value, vehicles: row.vehicles }]));
  return { dialects: valuesOf(dialect), engines: valuesOf(sql<string | null>`${vehicles.engine}`) };
}
