import { and, asc, eq } from 'drizzle-orm';
import type { WriteContext } from '../database/context.js';
import { enqueueJob } from '../jobs/enqueue-job.js';
import { busCaptures } from '../schema/captures.js';
import { logs } from '../schema/logs.js';
import { dialectObservations, vehicles } from '../schema/vehicles.js';
import { StoreError } from '../store-error.js';
import { lapseDecision } from '../vehicles/lapse-decision.js';
import type { CaptureCheck, CaptureWrites } from './captures.js';

const OBSERVER = 'check of the capture';

export function captureWrites(context: WriteContext): CaptureWrites {
  const { db, clock, transaction } = context;

  function findUpload(logId: string) {
    const row = db
      .select({
        vehicleId: vehicles.id,
        uploadedAtMs: logs.uploadedAtMs,
        declaredNow: vehicles.declaredDialect,
        known: { declaredDialect: busCaptures.declaredDialect, observationId: busCaptures.observationId },
      })
      .from(logs)
      .innerJoin(vehicles, eq(vehicles.id, logs.vehicleId))
      .leftJoin(busCaptures, eq(busCaptures.logId, logs.id))
      .where(eq(logs.id, logId))
      .get();
    if (!row) throw new StoreError('not_found', `There is no log '${logId}'.`);
    return row;
  }

  return {
    keep: ({ logId, traffics, check }) =>
      transaction(() => {
        const upload = findUpload(logId);
        const declaredDialect = upload.known ? upload.known.declaredDialect : upload.declaredNow;
        const observationId = observe(context, { ...upload, declaredDialect, check });
        const row = { traffics, declaredDialect, observationId, ...columnsOf(check), checkedAtMs: clock() };
        db.insert(busCaptures)
          .values({ logId, vehicleId: upload.vehicleId, ...row })
          .onConflictDoUpdate({ target: busCaptures.logId, set: row })
          .run();
        lapseDecision(context, upload.vehicleId);
      }),

    recheck: ({ logId, check }) =>
      transaction(() => {
        const upload = findUpload(logId);
        if (!upload.known) throw new StoreError('not_found', `Log '${logId}' is no capture.`);
        const observationId = observe(context, { ...upload, declaredDialect: upload.known.declaredDialect, check });
        db.update(busCaptures)
          .set({ observationId, ...columnsOf(check), checkedAtMs: clock() })
          .where(eq(busCaptures.logId, logId))
          .run();
        lapseDecision(context, upload.vehicleId);
      }),

    requeueWaiting: ({ vehicleId, jobFor }) =>
      transaction(() => {
        const waiting = db
          .select({ id: logs.id })
          .from(busCaptures)
          .innerJoin(logs, eq(logs.id, busCaptures.logId))
          .where(and(eq(busCaptures.vehicleId, vehicleId), eq(logs.state, 'awaitingMap')))
          .orderBy(asc(logs.id))
          .all();
        for (const { id } of waiting) enqueueJob(context, jobFor(id));
      }),
  };
}

function columnsOf({ observed, ...check }: CaptureCheck) {
  return { ...check, observedDialect: observed };
}

/** Makes or corrects the observation of a capture; null while it has told nothing of the car. */
function observe(
  { db, ids }: WriteContext,
  upload: {
    readonly vehicleId: string;
    readonly uploadedAtMs: number;
    readonly declaredDialect: string | null;
    readonly known: { readonly observationId: string | null } | null;
    readonly check: CaptureCheck;
  },
): string | null {
  const { vehicleId, declaredDialect, check } = upload;
  const said = { dialect: check.observed, note: check.reason };
  const knownId = upload.known?.observationId ?? null;
  if (knownId !== null) {
    db.update(dialectObservations).set(said).where(eq(dialectObservations.id, knownId)).run();
    return knownId;
  }
  if (!tellsOfCar(check, declaredDialect)) return null;
  const id = ids();
  db.insert(dialectObservations)
    .values({
      id,
      vehicleId,
      ...said,
      source: 'capture',
      observedAtMs: upload.uploadedAtMs,
      byName: OBSERVER,
      declaredDialect,
    })
    .run();
  return id;
}

/** That nothing fits concerns a car only when what it declares was among the dialects that it was held against. */
function tellsOfCar({ observed, doubt, scores }: CaptureCheck, declaredDialect: string | null): boolean {
  return observed !== null || (doubt === 'no_fit' && scores.some(({ dialect }) => dialect === declaredDialect));
}
