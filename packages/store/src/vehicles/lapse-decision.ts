import { and, eq, isNull, not, sql } from 'drizzle-orm';
import type { WriteContext } from '../database/context.js';
import { dialectDecisions, vehicles } from '../schema/vehicles.js';
import { newestObservation, observed } from './observed-dialect.js';

/**
 * Ends the decision of a car that was about another pair of declared and observed dialect than it has now. It stays
 * ended when the pair comes back. Call it in the transaction of whatever may change the pair.
 */
export function lapseDecision(context: WriteContext, vehicleId: string): void {
  const { db, clock } = context;
  const { declaredDialect, observedDialect } = dialectPair(context, vehicleId);
  db.update(dialectDecisions)
    .set({ lapsedAtMs: clock() })
    .where(
      and(
        eq(dialectDecisions.vehicleId, vehicleId),
        isNull(dialectDecisions.lapsedAtMs),
        not(
          sql`(${dialectDecisions.declaredDialect} IS ${declaredDialect}
            AND ${dialectDecisions.observedDialect} IS ${observedDialect})`,
        ),
      ),
    )
    .run();
}

/** What is declared of a car, and what was observed of it last. */
export function dialectPair({ db }: WriteContext, vehicleId: string) {
  const pair = db
    .select({ declaredDialect: vehicles.declaredDialect, observedDialect: observed.dialect })
    .from(vehicles)
    .leftJoin(observed, newestObservation)
    .where(eq(vehicles.id, vehicleId))
    .get();
  return pair ?? { declaredDialect: null, observedDialect: null };
}
