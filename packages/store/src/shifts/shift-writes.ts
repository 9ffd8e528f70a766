import { and, eq } from 'drizzle-orm';
import type { WriteContext } from '../database/context.js';
import { addLog, subtractLog } from '../fleet/summaries.js';
import { logArtefacts } from '../schema/logs.js';
import { shifts } from '../schema/shifts.js';
import { GRADE_BITS, toBits } from './bit-set.js';
import type { ShiftWrites } from './shifts.js';

export function shiftWrites({ db, transaction }: WriteContext): ShiftWrites {
  return {
    regrade: ({ logId, policyVersion, shifts: regraded }) =>
      transaction(() => {
        subtractLog(db, logId);
        for (const { id, grades, demandRatio, demandWeight } of regraded) {
          db.update(shifts)
            .set({ grades: toBits(GRADE_BITS, grades), demandRatio, demandWeight, policyVersion })
            .where(and(eq(shifts.id, id), eq(shifts.logId, logId)))
            .run();
        }
        addLog(db, logId);
        db.update(logArtefacts).set({ policyVersion }).where(eq(logArtefacts.logId, logId)).run();
      }),
  };
}
