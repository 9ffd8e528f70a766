import type { LogSummary, Store } from '@syncline/store';
import { analysisJob } from '../jobs/job-kinds.js';
import { notFound, problem } from '../problem-error.js';
import { type Actor, scopeOf } from './actor.js';

export interface Upload {
  readonly vehicleId: string;
  readonly fileName: string;
  /** Now when it is not said. */
  readonly drivenAtMs?: number;
  /** What the car ran; else what is installed at that time. */
  readonly revisionId?: string;
  /** What the sender says that the bytes hash to. */
  readonly sha256?: string;
}

export type UploadService = ReturnType<typeof createUploadService>;

/** Takes drive logs in. The bytes go straight to disk; the row and its job follow in one transaction. */
export function createUploadService(
  store: Store,
  options: { readonly maxLogBytes: number; readonly clock: () => number; readonly nudgeJobs: () => void },
) {
  const { read } = store;

  /** What can be refused before the bytes are there. */
  function assertAcceptable(actor: Actor, upload: Upload, announcedBytes: number | undefined): { ownerId: string } {
    const vehicle = read.vehicles.find(scopeOf(actor), upload.vehicleId);
    if (!vehicle) throw notFound('vehicle');
    if (upload.revisionId !== undefined) {
      const revision = read.calibrations.findRevision(upload.revisionId);
      if (!revision) throw notFound('revision');
      if (revision.platformId !== vehicle.platformId) throw problem('vehicle.platformMismatch');
    }
    if (announcedBytes !== undefined && announcedBytes > options.maxLogBytes) {
      throw problem('log.tooLarge', { detail: `It has ${announcedBytes} bytes; ${options.maxLogBytes} are allowed.` });
    }
    return vehicle;
  }

  return {
    assertAcceptable,

    /** Safe to repeat: the same bytes for the same car are the same log. */
    async receive(
      actor: Actor,
      upload: Upload,
      bytes: AsyncIterable<Uint8Array>,
    ): Promise<{ log: LogSummary; isDuplicate: boolean }> {
      const { ownerId } = assertAcceptable(actor, upload, undefined);
      const blob = await store.blobs.receive(bytes, { maxBytes: options.maxLogBytes });
      if (blob.sizeBytes === 0) throw problem('log.empty');
      if (upload.sha256 !== undefined && upload.sha256 !== blob.sha256) {
        // The bytes stay without a row for a day, then the sweep takes them.
        throw problem('log.hashMismatch', { detail: `Stated ${upload.sha256}, received ${blob.sha256}.` });
      }
      const { logId, isDuplicate } = store.logs.add({
        actor,
        vehicleId: upload.vehicleId,
        fileName: upload.fileName,
        drivenAtMs: upload.drivenAtMs ?? options.clock(),
        revisionId: upload.revisionId,
        blob,
        jobFor: (id) => analysisJob(id, ownerId),
      });
      options.nudgeJobs();
      const log = read.logs.find({}, logId);
      if (!log) throw new Error(`log ${logId} has no row after it was added`);
      return { log, isDuplicate };
    },
  };
}
