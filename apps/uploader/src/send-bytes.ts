import { type FileHandle, open } from 'node:fs/promises';
import { type DetailedError, Upload } from 'tus-js-client';
import { Refusal, toError, Unreachable } from './server-api.js';

/** So much goes in one request: what a proxy in between collects before it hands it on is then never much. */
const PIECE_BYTES = 8 * 1024 * 1024;
/** Waits between tries (ms), the last one over and over. They begin anew with every piece that arrives. */
const RETRY_DELAYS_MS = [500, 1000, 2000, 4000, 8000, 16_000, 30_000];
/** A connection on which nothing moves for so long is taken for dead; checking a large file takes the server a while. */
const STALL_MS = 150_000;

export interface SendOptions {
  readonly url: string;
  readonly headers: Readonly<Record<string, string>>;
  readonly signal: AbortSignal;
  /** Silence of the server after which to give up. */
  readonly giveUpMs: number;
  readonly onSent: (bytes: number) => void;
  readonly onLost: () => void;
}

/**
 * Sends what the server does not have of a file, over as many connections as it takes. Rejects with Unreachable once
 * the server was silent for too long, with its refusal, or with the reason of `signal`.
 */
export async function sendBytes(path: string, options: SendOptions): Promise<void> {
  const { signal } = options;
  const source = await PieceSource.open(path);
  const stall = new StallClock();
  let upload: Upload | undefined;
  try {
    await new Promise<void>((resolve, reject) => {
      signal.addEventListener('abort', () => reject(signal.reason), { once: true });
      upload = new Upload(path as unknown as File, {
        // Without an endpoint the client never begins anew by itself when the server is away for a moment.
        uploadUrl: options.url,
        headers: { ...options.headers },
        fileReader: { openFile: async () => source },
        fingerprint: async () => '',
        storeFingerprintForResuming: false,
        chunkSize: PIECE_BYTES,
        retryDelays: [...RETRY_DELAYS_MS, ...Array<number>(100_000).fill(RETRY_DELAYS_MS.at(-1) ?? 0)],
        onProgress: (bytes) => {
          stall.moved();
          options.onSent(bytes);
        },
        onUploadUrlAvailable: () => stall.moved(),
        onShouldRetry: (error) => {
          const isWorthIt = !source.fault && isPassing(error) && stall.silentMs() < options.giveUpMs;
          if (isWorthIt) options.onLost();
          return isWorthIt;
        },
        onSuccess: () => resolve(),
        onError: (error) => reject(source.fault ?? toFailure(error)),
      });
      upload.start();
      stall.watch(STALL_MS, () => void upload?.abort().then(() => upload?.start()));
    });
  } finally {
    stall.stop();
    await upload?.abort();
    await source.end();
  }
}

function isPassing({ originalResponse }: DetailedError): boolean {
  const status = originalResponse?.getStatus() ?? 0;
  return status === 0 || status === 409 || status === 423 || status === 429 || status >= 500;
}

function toFailure(error: Error | DetailedError): Error {
  const response = 'originalResponse' in error ? error.originalResponse : null;
  if (response) return toError(response.getStatus(), response.getBody());
  return 'originalRequest' in error ? new Unreachable('The connection was lost.', { cause: error }) : error;
}

/** When bytes last moved or the server last answered. */
class StallClock {
  private movedAtMs = performance.now();
  private timer: NodeJS.Timeout | undefined;

  moved(): void {
    this.movedAtMs = performance.now();
  }

  silentMs(): number {
    return performance.now() - this.movedAtMs;
  }

  watch(limitMs: number, onStall: () => void): void {
    this.timer = setInterval(() => {
      if (this.silentMs() < limitMs) return;
      this.moved();
      onStall();
    }, limitMs / 10);
    this.timer.unref();
  }

  stop(): void {
    clearInterval(this.timer);
  }
}

/** Pieces of a file as the tus client asks for them. One piece is in memory at a time, and one file is open. */
class PieceSource {
  readonly size: number;
  /** Why no further piece can be had. */
  fault: Refusal | undefined;
  private readonly file: FileHandle;

  private constructor(file: FileHandle, size: number) {
    this.file = file;
    this.size = size;
  }

  static async open(path: string): Promise<PieceSource> {
    const file = await open(path, 'r');
    return new PieceSource(file, (await file.stat()).size);
  }

  async slice(start: number, end: number): Promise<{ value: Buffer & { size: number }; done: boolean }> {
    const piece = Buffer.alloc(Math.min(end, this.size) - start);
    const { bytesRead } = await this.file.read(piece, 0, piece.length, start);
    if (bytesRead < piece.length) throw (this.fault = new Refusal(409, 'It became shorter while it was sent.'));
    return { value: Object.assign(piece, { size: piece.length }), done: start + piece.length >= this.size };
  }

  /** Asked by the client after the last byte; the file is closed when all is done with it. */
  close(): void {}

  async end(): Promise<void> {
    await this.file.close();
  }
}
