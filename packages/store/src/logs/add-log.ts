import { and, eq } from 'drizzle-orm';
import { appendAudit } from '../audit/append-audit.js';
import type { WriteContext } from '../database/context.js';
import { enqueueJob } from '../jobs/enqueue-job.js';
import { blobs, logs } from '../schema/logs.js';
import { getVehicle, requireRevisionFor } from '../vehicles/vehicle-writes.js';
import { installedAt } from './installed-at.js';
import type { LogWrites } from './logs.js';

/** See `LogWrites.add`. Part of a larger transaction. */
export function addLog(
  context: WriteContext,
  input: Parameters<LogWrites['add']>[0],
): { logId: string; isDuplicate: boolean } {
  const { db, clock, ids } = context;
  const { actor, vehicleId, blob } = input;
  const vehicle = getVehicle(context, vehicleId);
  const known = db
    .select({ id: logs.id })
    .from(logs)
    .where(and(eq(logs.vehicleId, vehicleId), eq(logs.sha256, blob.sha256)))
    .get();
  if (known) return { logId: known.id, isDuplicate: true };
  if (input.revisionId !== undefined) requireRevisionFor(context, vehicle.platformId, input.revisionId);
  const logId = ids();
  db.insert(blobs)
    .values({ ...blob, createdAtMs: clock() })
    // The bytes are there again, even where they had been removed.
    .onConflictDoUpdate({ target: blobs.sha256, set: { removedAtMs: null } })
    .run();
  db.insert(logs)
    .values({
      id: logId,
      vehicleId,
      revisionId: input.revisionId ?? installedAt(context, vehicleId, input.drivenAtMs),
      sha256: blob.sha256,
      fileName: input.fileName,
      uploadedAtMs: clock(),
      drivenAtMs: input.drivenAtMs,
      state: 'waiting',
      progress: 0,
    })
    .run();
  enqueueJob(context, input.jobFor(logId));
  appendAudit(context, {
    actor,
    action: 'log.add',
    target: `log:${logId}`,
    detail: `${input.fileName}, ${blob.sizeBytes} bytes, SHA-256 ${blob.sha256}, for vehicle:${vehicleId}`,
  });
  return { logId, isDuplicate: false };
}
