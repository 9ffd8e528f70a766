import { and, eq, isNull, sql } from 'drizzle-orm';
import { alias } from 'drizzle-orm/sqlite-core';
import { dialectDecisions, dialectObservations, vehicles } from '../schema/vehicles.js';

/** The newest observation of a car, to be joined to `vehicles` by `newestObservation`. */
export const observed = alias(dialectObservations, 'observed');

export const newestObservation = sql`${observed.id} = (
  SELECT newer.id FROM dialect_observations AS newer
  WHERE newer.vehicle_id = ${vehicles.id}
  ORDER BY newer.observed_at_ms DESC, newer.id DESC LIMIT 1)`;

/** The decision of a car that holds, to be joined to `vehicles`. There is one at most. */
export const holdingDecision = and(eq(dialectDecisions.vehicleId, vehicles.id), isNull(dialectDecisions.lapsedAtMs));
