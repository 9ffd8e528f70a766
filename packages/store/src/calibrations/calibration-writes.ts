import { eq } from 'drizzle-orm';
import { appendAudit } from '../audit/append-audit.js';
import type { WriteContext } from '../database/context.js';
import { calibrations } from '../schema/calibrations.js';
import { platforms } from '../schema/platforms.js';
import { StoreError } from '../store-error.js';
import type { CalibrationWrites } from './calibrations.js';
import { insertRevision } from './insert-revision.js';

export function calibrationWrites(context: WriteContext): CalibrationWrites {
  const { db, clock, ids, transaction } = context;
  return {
    create: ({ actor, title, platformId, note }) =>
      transaction(() => {
        const platform = db.select({ id: platforms.id }).from(platforms).where(eq(platforms.id, platformId)).get();
        if (!platform) throw new StoreError('not_found', `There is no platform '${platformId}'.`);
        const id = ids();
        db.insert(calibrations).values({ id, platformId, title, note, createdAtMs: clock() }).run();
        appendAudit(context, { actor, action: 'calibration.create', target: `calibration:${id}`, detail: title });
        return id;
      }),

    createRevision: (input) => transaction(() => insertRevision(context, input)),
  };
}
