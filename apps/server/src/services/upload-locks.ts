import { ERRORS, type Lock, type Locker } from '@tus/server';

/** Longest wait for an upload that somebody else works on: the last step of a large one takes its time (ms). */
const WAIT_MS = 120_000;

interface Place {
  /** Asks its holder to let go soon. */
  readonly askToLetGo: () => unknown;
  readonly start: () => void;
}

/**
 * One at a time for each upload, in the order of coming. Whoever comes asks the holder to let go: the holder may be a
 * connection that died without a word, and its sender is back.
 */
export class UploadLocks implements Locker {
  private readonly lines = new Map<string, Place[]>();

  newLock(uploadId: string): Lock {
    return {
      lock: (signal, askToLetGo) => this.enter(uploadId, askToLetGo, signal),
      unlock: async () => this.leave(uploadId),
    };
  }

  /** Runs `work` alone. It is not broken off. */
  async hold<T>(uploadId: string, work: () => Promise<T>): Promise<T> {
    await this.enter(uploadId, () => undefined);
    try {
      return await work();
    } finally {
      this.leave(uploadId);
    }
  }

  private enter(uploadId: string, askToLetGo: () => unknown, signal?: AbortSignal): Promise<void> {
    const line = this.lines.get(uploadId) ?? [];
    this.lines.set(uploadId, line);
    return new Promise((resolve, reject) => {
      const place: Place = { askToLetGo, start: () => end(resolve) };
      const giveUp = (reason: unknown) => {
        line.splice(line.indexOf(place), 1);
        end(() => reject(reason));
      };
      const onAbort = () => giveUp(ERRORS.ABORTED);
      const timer = setTimeout(() => giveUp(ERRORS.ERR_LOCK_TIMEOUT), WAIT_MS);
      const end = (settle: () => void) => {
        clearTimeout(timer);
        signal?.removeEventListener('abort', onAbort);
        settle();
      };
      signal?.addEventListener('abort', onAbort, { once: true });
      line.push(place);
      if (line.length === 1) place.start();
      else line[0].askToLetGo();
    });
  }

  private leave(uploadId: string): void {
    const line = this.lines.get(uploadId) ?? [];
    line.shift();
    const next = line[0];
    if (!next) {
      this.lines.delete(uploadId);
      return;
    }
    next.start();
    if (line.length > 1) next.askToLetGo();
  }
}
