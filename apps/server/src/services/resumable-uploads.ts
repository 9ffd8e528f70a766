import { PROBLEMS, type ProblemCode } from '@syncline/contract';
import type { Store, Upload, UploadOutcome } from '@syncline/store';
import { StoreError } from '@syncline/store';
import { notFound, ProblemError, problem } from '../problem-error.js';
import type { Actor } from './actor.js';
import type { UploadLocks } from './upload-locks.js';
import type { UploadClaim, UploadService } from './uploads.js';

/** An upload that stands still is given up after this long. */
const KEEP_MS = 7 * 24 * 3600_000;

export interface ResumableClaim extends UploadClaim {
  readonly sizeBytes: number;
  /** Hash of the first bytes, by which the sender knows the file again. */
  readonly headSha256?: string | undefined;
}

export type ResumableUploadService = ReturnType<typeof createResumableUploadService>;

/**
 * Uploads in pieces: they may stop anywhere and go on later, over restarts of either side. Once the last byte is there
 * the file is checked, moved into the blobs and made a log; that step may be broken off and done again at any moment,
 * for the bytes are kept until the log has its row.
 */
export function createResumableUploadService(
  store: Store,
  options: {
    readonly uploads: UploadService;
    readonly locks: UploadLocks;
    readonly minFreeBytes: number;
    readonly clock: () => number;
    readonly nudgeJobs: () => void;
    readonly expectLog: () => void;
  },
) {
  const { uploads, locks, clock } = options;
  const { read } = store;
  const finishing = new Map<string, Promise<Upload>>();

  /** What is announced has to fit beside what was announced before and has not come yet. */
  function requireSpace(bytes: number): void {
    const missing = read.uploads
      .listReceiving()
      .reduce((sum, { id, sizeBytes }) => sum + sizeBytes - store.uploads.receivedBytes(id), 0);
    const isEnough = (freeBytes: number) => freeBytes - missing - bytes >= options.minFreeBytes;
    if (isEnough(store.status().freeBytes)) return;
    store.blobs.dropPlain();
    const { freeBytes } = store.status();
    if (!isEnough(freeBytes)) {
      throw problem('storage.full', { detail: `${freeBytes} bytes are free, ${missing} are awaited already.` });
    }
  }

  /** Only its sender has an upload: for anybody else it does not exist. */
  function get(actor: Actor, uploadId: string): Upload {
    const upload = read.uploads.find(uploadId);
    if (!upload || upload.personId !== actor.id) throw notFound('upload');
    return upload;
  }

  const isWhole = ({ id, sizeBytes }: Upload) => store.uploads.receivedBytes(id) === sizeBytes;

  async function moveIn(uploadId: string): Promise<Upload> {
    const upload = requireUpload(uploadId);
    if (upload.outcome.state !== 'receiving') return upload;
    const maxBytes = uploads.limits.maxLogBytes;
    options.expectLog();
    const blob = await store.blobs.receive(store.uploads.openBytes(uploadId), {
      maxBytes,
      expectedBytes: upload.sizeBytes,
    });
    const claim = toClaim(upload);
    try {
      uploads.makingLog(blob, () => {
        uploads.assertAsClaimed(claim, blob);
        return store.transaction(() => {
          const { logId, isDuplicate } = uploads.add(upload.startedBy, claim, blob);
          store.uploads.end(uploadId, { state: 'done', logId, isDuplicate });
          return { isDuplicate };
        });
      });
    } catch (error) {
      const refusal = refusalOf(error);
      if (!refusal) throw error;
      store.uploads.end(uploadId, refusal);
    }
    store.uploads.removeBytes(uploadId);
    options.nudgeJobs();
    return requireUpload(uploadId);
  }

  function requireUpload(uploadId: string): Upload {
    const upload = read.uploads.find(uploadId);
    if (!upload) throw notFound('upload');
    return upload;
  }

  /** Makes a whole upload a log. Whoever asks meanwhile waits for the same. */
  function finish(uploadId: string): Promise<Upload> {
    const underWay = finishing.get(uploadId);
    if (underWay) return underWay;
    const work = locks.hold(uploadId, () => moveIn(uploadId)).finally(() => finishing.delete(uploadId));
    finishing.set(uploadId, work);
    return work;
  }

  return {
    get,

    list: (actor: Actor, vehicleId: string | undefined) => ({
      items: read.uploads.listOf(actor.id, vehicleId),
      room: uploads.roomOf(
        vehicleId === undefined ? actor.id : uploads.requireCar(actor, { vehicleId, fileName: '' }).ownerId,
      ),
    }),

    receivedBytes: ({ id, sizeBytes, outcome }: Upload): number =>
      outcome.state === 'receiving' ? store.uploads.receivedBytes(id) : outcome.state === 'done' ? sizeBytes : 0,

    twinOf: ({ outcome }: Upload) => (outcome.state === 'done' ? (read.uploads.findTwin(outcome.logId) ?? null) : null),

    /** An upload to be sent; one whose hash is known is done at once. */
    begin(actor: Actor, { sizeBytes, headSha256, ...claim }: ResumableClaim): Upload {
      const { ownerId } = uploads.requireCar(actor, claim);
      if (sizeBytes === 0) throw problem('log.empty');
      const known = claim.sha256 === undefined ? undefined : read.logs.findByHash(claim.vehicleId, claim.sha256);
      if (!known) {
        uploads.requireRoom(ownerId, sizeBytes);
        requireSpace(sizeBytes);
      }
      return store.uploads.begin(
        {
          personId: actor.id,
          vehicleId: claim.vehicleId,
          fileName: claim.fileName,
          sizeBytes,
          drivenAtMs: claim.drivenAtMs ?? null,
          revisionId: claim.revisionId ?? null,
          sha256: claim.sha256 ?? null,
          headSha256: headSha256 ?? null,
          startedBy: { kind: actor.kind, id: actor.id, name: actor.name, requestId: actor.requestId },
          expiresAtMs: clock() + KEEP_MS,
        },
        known && { state: 'done', logId: known.id, isDuplicate: true },
      );
    },

    /** An upload that was not given up; throws why it was. */
    getOpen(actor: Actor, uploadId: string): Upload {
      const upload = get(actor, uploadId);
      const { outcome } = upload;
      if (outcome.state === 'refused') throw refused(outcome);
      if (outcome.state === 'receiving' && upload.expiresAtMs <= clock()) throw problem('upload.expired');
      return upload;
    },

    /** To be called when bytes have come: moves the day on which it would be given up. */
    prolong(uploadId: string): number {
      const expiresAtMs = clock() + KEEP_MS;
      store.uploads.prolong(uploadId, expiresAtMs);
      return expiresAtMs;
    },

    /** Whether nothing is left to send. */
    isOver(uploadId: string): boolean {
      const upload = read.uploads.find(uploadId);
      return upload !== undefined && (upload.outcome.state !== 'receiving' || isWhole(upload));
    },

    /** The log that a whole upload has become; throws why it has not. */
    async finish(uploadId: string): Promise<{ readonly logId: string }> {
      const { outcome } = await finish(uploadId);
      if (outcome.state === 'done') return outcome;
      throw outcome.state === 'refused' ? refused(outcome) : new Error(`upload ${uploadId} was finished too early`);
    },

    /** Forgets an upload and its bytes; the log that it has become stays. */
    async remove(actor: Actor, uploadId: string): Promise<void> {
      get(actor, uploadId);
      await locks.hold(uploadId, async () => store.uploads.remove(uploadId));
    },

    /** Finishes what was whole when a process ended, until `signal` says to stop. What fails is tried again next time. */
    async finishWhole(signal: AbortSignal, onFault: (uploadId: string, error: unknown) => void): Promise<number> {
      let count = 0;
      for (const { id } of read.uploads.listReceiving().filter(isWhole)) {
        if (signal.aborted) break;
        await finish(id).then(
          () => (count += 1),
          (error) => onFault(id, error),
        );
      }
      return count;
    },
  };
}

function refused({ problem: { code, detail } }: Extract<UploadOutcome, { state: 'refused' }>): ProblemError {
  return problem(code as ProblemCode, { detail });
}

function toClaim(upload: Upload): UploadClaim {
  const { vehicleId, fileName, drivenAtMs, revisionId, sha256, createdAtMs } = upload;
  return {
    vehicleId,
    fileName,
    drivenAtMs: drivenAtMs ?? createdAtMs,
    revisionId: revisionId ?? undefined,
    sha256: sha256 ?? undefined,
  };
}

/** What no repetition mends; a full disk or a fault of ours may be over next time. */
function refusalOf(error: unknown): Extract<UploadOutcome, { state: 'refused' }> | undefined {
  const code = error instanceof ProblemError ? error.code : lostReference(error);
  if (!code) return undefined;
  return { state: 'refused', problem: { code, detail: (error as Error).message, remedy: PROBLEMS[code].remedy } };
}

/** The car or the revision that was named when the upload began is no longer there, or no longer fits. */
function lostReference(error: unknown): ProblemCode | undefined {
  if (!(error instanceof StoreError)) return undefined;
  if (error.code === 'not_found') return 'resource.notFound';
  return error.code === 'platform_mismatch' ? 'vehicle.platformMismatch' : undefined;
}
