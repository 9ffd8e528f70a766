import type { LogSummary, ReceivedBlob, Store } from '@syncline/store';
import { StoreError } from '@syncline/store';
import { analysisJob } from '../jobs/job-kinds.js';
import { notFound, problem } from '../problem-error.js';
import { type Actor, scopeOf } from './actor.js';

/** What is said of a drive log beside its bytes. */
export interface UploadClaim {
  readonly vehicleId: string;
  readonly fileName: string;
  /** Now when it is not said. */
  readonly drivenAtMs?: number | undefined;
  /** What the car ran; else what is installed at that time. */
  readonly revisionId?: string | undefined;
  /** What the sender says that the bytes hash to. */
  readonly sha256?: string | undefined;
}

/** What came of an upload. */
export interface TakenLog {
  readonly log: LogSummary;
  readonly isDuplicate: boolean;
  /** Another log of the car that holds the same, packed otherwise. */
  readonly twin: { readonly id: string; readonly fileName: string } | null;
}

/** What the originals for the cars of one person take and may take (bytes as sent). */
export interface UploadRoom {
  readonly storedBytes: number;
  readonly pendingBytes: number;
  readonly quotaBytes: number;
  readonly maxFileBytes: number;
}

export interface UploadLimits {
  readonly maxLogBytes: number;
  readonly quotaBytes: number;
}

export type UploadService = ReturnType<typeof createUploadService>;

/** Takes drive logs in. The bytes go straight to disk; the row and its job follow in one transaction. */
export function createUploadService(
  store: Store,
  options: {
    readonly limits: UploadLimits;
    readonly clock: () => number;
    readonly nudgeJobs: () => void;
    readonly expectLog: () => void;
  },
) {
  const { read } = store;
  const { maxLogBytes, quotaBytes } = options.limits;

  /** The car of an upload, when everything that is said of it can be true; else throws. */
  function requireCar(actor: Actor, claim: UploadClaim): { readonly ownerId: string } {
    const vehicle = read.vehicles.identify(scopeOf(actor), claim.vehicleId);
    if (!vehicle) throw notFound('vehicle');
    if (claim.revisionId !== undefined) {
      const revision = read.calibrations.findRevision(claim.revisionId);
      if (!revision) throw notFound('revision');
      if (revision.platformId !== vehicle.platformId) throw problem('vehicle.platformMismatch');
    }
    return vehicle;
  }

  const roomOf = (ownerId: string): UploadRoom => ({
    ...read.uploads.roomOf(ownerId),
    quotaBytes,
    maxFileBytes: maxLogBytes,
  });

  function requireRoom(ownerId: string, bytes: number): void {
    if (bytes > maxLogBytes) {
      throw problem('log.tooLarge', { detail: `It has ${bytes} bytes; ${maxLogBytes} are allowed.` });
    }
    const { storedBytes, pendingBytes } = read.uploads.roomOf(ownerId);
    if (storedBytes + pendingBytes + bytes > quotaBytes) {
      throw problem('quota.exceeded', {
        detail:
          `The drives of this person's cars take ${storedBytes} bytes, uploads under way ${pendingBytes}; ` +
          `with ${bytes} more it would be over ${quotaBytes}.`,
      });
    }
  }

  /** What can be refused before the bytes are there. */
  function assertAcceptable(actor: Actor, claim: UploadClaim, announcedBytes: number | undefined) {
    const car = requireCar(actor, claim);
    requireRoom(car.ownerId, announcedBytes ?? 0);
    return car;
  }

  /** Bytes that are none, or not those that were announced, are no log. They stay without a row until the sweep. */
  function assertAsClaimed(claim: UploadClaim, blob: ReceivedBlob): void {
    if (blob.sizeBytes === 0) throw problem('log.empty');
    if (claim.sha256 !== undefined && claim.sha256 !== blob.sha256) {
      throw problem('log.hashMismatch', { detail: `Stated ${claim.sha256}, received ${blob.sha256}.` });
    }
  }

  /** Row, job and what a packed file holds. Part of a larger transaction; nudge the jobs after it. */
  function add(actor: Parameters<Store['logs']['add']>[0]['actor'], claim: UploadClaim, blob: ReceivedBlob) {
    const ownerId = read.vehicles.identify({}, claim.vehicleId)?.ownerId;
    const added = store.logs.add({
      actor,
      vehicleId: claim.vehicleId,
      fileName: claim.fileName,
      drivenAtMs: claim.drivenAtMs ?? options.clock(),
      revisionId: claim.revisionId,
      blob,
      jobFor: (id) => analysisJob(id, ownerId ?? ''),
    });
    if (blob.contentSha256 !== null) store.uploads.noteContent(blob.sha256, blob.contentSha256);
    return added;
  }

  /** Where bytes become no new log, nobody will read their unpacked copy. */
  function makingLog<T extends { readonly isDuplicate: boolean }>({ sha256 }: ReceivedBlob, work: () => T): T {
    let isNew = false;
    try {
      const made = work();
      isNew = !made.isDuplicate;
      return made;
    } finally {
      if (!isNew) store.blobs.dropPlain(sha256);
    }
  }

  return {
    limits: options.limits,
    requireCar,
    requireRoom,
    roomOf,
    assertAcceptable,
    assertAsClaimed,
    add,
    makingLog,

    /** Logs of a car with these hashes. */
    findKnown(actor: Actor, vehicleId: string, hashes: readonly string[]): readonly LogSummary[] {
      requireCar(actor, { vehicleId, fileName: '' });
      return [...new Set(hashes)].flatMap((sha256) => read.logs.findByHash(vehicleId, sha256) ?? []);
    },

    /** Takes a file in one go. Safe to repeat: the same bytes for the same car are the same log. */
    async receive(
      actor: Actor,
      claim: UploadClaim,
      {
        bytes,
        expectedBytes,
      }: { readonly bytes: AsyncIterable<Uint8Array>; readonly expectedBytes?: number | undefined },
    ): Promise<TakenLog> {
      const { ownerId } = assertAcceptable(actor, claim, undefined);
      const { storedBytes, pendingBytes } = read.uploads.roomOf(ownerId);
      const roomBytes = quotaBytes - storedBytes - pendingBytes;
      options.expectLog();
      const blob = await store.blobs
        .receive(bytes, { maxBytes: Math.min(maxLogBytes, roomBytes), expectedBytes })
        .catch((error) => {
          const isOverQuota = error instanceof StoreError && error.code === 'too_large' && roomBytes < maxLogBytes;
          throw isOverQuota
            ? problem('quota.exceeded', { detail: `There is room for ${roomBytes} bytes more.`, cause: error })
            : error;
        });
      const { logId, isDuplicate } = makingLog(blob, () => {
        assertAsClaimed(claim, blob);
        return store.transaction(() => {
          // Others may have come in meanwhile.
          if (!read.logs.findByHash(claim.vehicleId, blob.sha256)) requireRoom(ownerId, blob.sizeBytes);
          return add(actor, claim, blob);
        });
      });
      options.nudgeJobs();
      const log = read.logs.find({}, logId);
      if (!log) throw new Error(`log ${logId} has no row after it was added`);
      return { log, isDuplicate, twin: read.uploads.findTwin(logId) ?? null };
    },
  };
}
