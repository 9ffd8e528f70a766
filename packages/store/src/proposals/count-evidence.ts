import { sql } from 'drizzle-orm';
import type { Db } from '../database/context.js';
import { vehicleEvidence } from '../schema/proposals.js';

/** Notes that a car has shown something new under a revision. Part of the transaction that changes it. */
export function countEvidence(db: Db, { vehicleId, revisionId }: { vehicleId: string; revisionId: string }): void {
  db.insert(vehicleEvidence)
    .values({ vehicleId, revisionId, version: 1 })
    .onConflictDoUpdate({
      target: [vehicleEvidence.vehicleId, vehicleEvidence.revisionId],
      set: { version: sql`${vehicleEvidence.version} + 1` },
    })
    .run();
}

/** The same for all that a car, or any car of a platform, has shown: after its shifts were changed where they are. */
export function countEvidenceOf(db: Db, of: { readonly vehicleId: string } | { readonly platformId: string }): void {
  const cars =
    'vehicleId' in of ? sql`(${of.vehicleId})` : sql`(SELECT id FROM vehicles WHERE platform_id = ${of.platformId})`;
  db.run(sql`
    INSERT INTO vehicle_evidence (vehicle_id, revision_id, version)
    SELECT DISTINCT vehicle_id, revision_id, 0 FROM shifts WHERE revision_id IS NOT NULL AND vehicle_id IN ${cars}
    ON CONFLICT DO NOTHING`);
  db.run(sql`UPDATE vehicle_evidence SET version = version + 1 WHERE vehicle_id IN ${cars}`);
}
