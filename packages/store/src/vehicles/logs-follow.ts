import { and, asc, eq, gte, isNull, ne } from 'drizzle-orm';
import type { WriteContext } from '../database/context.js';
import { changeShiftsOf } from '../fleet/summaries.js';
import { enqueueJob } from '../jobs/enqueue-job.js';
import type { NewJob } from '../jobs/jobs.js';
import { installedAt } from '../logs/installed-at.js';
import { blobs, logs } from '../schema/logs.js';
import { shifts } from '../schema/shifts.js';
import type { VehicleProfile } from './vehicles.js';

/** What of a profile enters decoding and measures. */
const ANALYSIS_FACTS: readonly (keyof VehicleProfile)[] = [
  'ratedInputTorqueNm',
  'inputInertiaKgM2',
  'tyreRadiusM',
  'finalDriveRatio',
];

/** Whether results of before are no longer those of the car. */
export function entersAnalysis(changedFields: readonly (keyof VehicleProfile)[]): boolean {
  return changedFields.some((field) => ANALYSIS_FACTS.includes(field));
}

/** Queues every log of a car that nobody has to map first and whose original is still there. Part of a larger transaction. */
export function requeueLogs(
  context: WriteContext,
  vehicleId: string,
  jobFor: (logId: string) => NewJob,
): readonly string[] {
  const rows = context.db
    .select({ id: logs.id })
    .from(logs)
    .innerJoin(blobs, eq(blobs.sha256, logs.sha256))
    .where(and(eq(logs.vehicleId, vehicleId), ne(logs.state, 'awaitingMap'), isNull(blobs.removedAtMs)))
    .orderBy(asc(logs.id))
    .all();
  for (const { id } of rows) enqueueJob(context, jobFor(id));
  return rows.map(({ id }) => id);
}

/**
 * Changes what a car ran from an instant on, and moves the logs that it was told of by their time to the revision that
 * holds now, with shifts and summaries. One whose sender named another revision than was entered stays, and so does
 * one that says itself what the control unit ran. Returns how
 * many were moved. Part of a larger transaction.
 */
export function changeInstallations(
  context: WriteContext,
  { vehicleId, fromMs }: { readonly vehicleId: string; readonly fromMs: number },
  change: () => void,
): number {
  const byTime = context.db
    .select({ id: logs.id, drivenAtMs: logs.drivenAtMs, revisionId: logs.revisionId })
    .from(logs)
    .where(and(eq(logs.vehicleId, vehicleId), gte(logs.drivenAtMs, fromMs), isNull(logs.statedRevisionId)))
    .all()
    .filter(({ drivenAtMs, revisionId }) => revisionId === installedAt(context, vehicleId, drivenAtMs));
  change();
  let movedCount = 0;
  for (const { id, drivenAtMs, revisionId: before } of byTime) {
    const revisionId = installedAt(context, vehicleId, drivenAtMs);
    if (revisionId === before) continue;
    moveLog(context, id, revisionId);
    movedCount += 1;
  }
  return movedCount;
}

function moveLog({ db }: WriteContext, logId: string, revisionId: string | null): void {
  changeShiftsOf(db, logId, () => {
    db.update(logs).set({ revisionId }).where(eq(logs.id, logId)).run();
    db.update(shifts).set({ revisionId }).where(eq(shifts.logId, logId)).run();
  });
}
