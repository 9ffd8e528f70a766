import { and, eq } from 'drizzle-orm';
import { holdsAt } from '../calibrations/revision-columns.js';
import type { WriteContext } from '../database/context.js';
import { installations } from '../schema/vehicles.js';

/** What the car ran at an instant; null when nothing is entered for it. */
export function installedAt({ db }: WriteContext, vehicleId: string, atMs: number): string | null {
  const row = db
    .select({ revisionId: installations.revisionId })
    .from(installations)
    .where(and(eq(installations.vehicleId, vehicleId), holdsAt(atMs)))
    .get();
  return row?.revisionId ?? null;
}
