import { type Upload as ContractUpload, upload as uploadSchema } from '@syncline/contract';
import { type DetailedError, type HttpResponse, Upload } from 'tus-js-client';
import { toApiProblem, Unreachable } from './api-problem.js';
import { apiUrl, get } from './client.js';

/** So much goes in one request: what a proxy in between collects before it hands it on is then never much. */
const PIECE_BYTES = 8 * 1024 * 1024;
/** A connection on which nothing moves for so long is taken for dead; checking a large file takes the server a while. */
const STALL_MS = 150_000;
/** Waits between tries (ms). They begin anew with every piece that arrives; the last is repeated for hours. */
const RETRY_DELAYS_MS = [500, 1000, 2000, 4000, 8000, 16_000, ...Array<number>(1000).fill(30_000)];

/** What is said of a file when its upload is begun. */
export interface UploadClaim {
  readonly file: File;
  readonly vehicleId: string;
  /** ISO 8601 with zone. */
  readonly drivenAt: string;
  readonly sha256: string;
  readonly head: string;
}

export interface SendEvents {
  /** Bytes that have left, also those that are still on their way. */
  readonly onSent: (bytes: number) => void;
  /** The link is down; it is tried again by itself. */
  readonly onLost: () => void;
}

/** A file on its way; `stop` leaves what has arrived where it is. */
export interface Sending {
  readonly done: Promise<void>;
  readonly stop: () => void;
  /** Tries at once instead of waiting for the next turn. */
  readonly hurry: () => void;
}

/** Tells the server of a file and gets the id under which its bytes are sent. */
export async function beginUpload({ file, vehicleId, drivenAt, sha256, head }: UploadClaim): Promise<string> {
  const said = { vehicle: vehicleId, fileName: file.name, drivenAt, sha256, head };
  const response = await fetch(apiUrl('/uploads'), {
    method: 'POST',
    credentials: 'same-origin',
    headers: {
      'tus-resumable': '1.0.0',
      'upload-length': String(file.size),
      'upload-metadata': Object.entries(said)
        .map(([key, value]) => `${key} ${toBase64(value)}`)
        .join(','),
    },
  }).catch((cause) => {
    throw new Unreachable('No answer from the server. Check the connection.', { cause });
  });
  if (!response.ok) {
    throw toApiProblem(response.status, await response.text(), response.headers.get('x-request-id'));
  }
  return response.headers.get('location')?.split('/').at(-1) ?? '';
}

/** Sends what the server does not have yet, over as many connections as it takes. */
export function sendFile(file: File, uploadId: string, { onSent, onLost }: SendEvents): Sending {
  let upload: Upload | undefined;
  let movedAtMs = performance.now();
  let isStopped = false;
  const hurry = () => {
    movedAtMs = performance.now();
    void upload?.abort().then(() => {
      if (!isStopped) upload?.start();
    });
  };
  const watch = setInterval(() => {
    if (performance.now() - movedAtMs > STALL_MS) hurry();
  }, STALL_MS / 10);
  const done = new Promise<void>((resolve, reject) => {
    upload = new Upload(file, {
      // Without an endpoint the client never begins anew by itself when the server is away for a moment.
      uploadUrl: new URL(apiUrl(uploadPath(uploadId)), window.location.href).href,
      chunkSize: PIECE_BYTES,
      retryDelays: RETRY_DELAYS_MS,
      storeFingerprintForResuming: false,
      onProgress: (bytes) => {
        movedAtMs = performance.now();
        onSent(bytes);
      },
      onShouldRetry: (error) => {
        const status = error.originalResponse?.getStatus() ?? 0;
        const isWorthIt = status === 0 || status === 409 || status === 423 || status === 429 || status >= 500;
        if (isWorthIt) onLost();
        return isWorthIt;
      },
      onError: (error) => reject(toError(error)),
      onSuccess: () => resolve(),
    });
  }).finally(() => clearInterval(watch));
  upload?.start();
  const stop = () => {
    isStopped = true;
    clearInterval(watch);
    void upload?.abort();
  };
  return { done, stop, hurry };
}

/** What has become of an upload. */
export function readUpload(uploadId: string): Promise<ContractUpload> {
  return get(uploadPath(uploadId), uploadSchema);
}

/** Has the server forget an upload and what came of it. */
export async function discardUpload(uploadId: string): Promise<void> {
  const response = await fetch(apiUrl(uploadPath(uploadId)), {
    method: 'DELETE',
    credentials: 'same-origin',
    headers: { 'tus-resumable': '1.0.0' },
  }).catch((cause) => {
    throw new Unreachable('No answer from the server. Check the connection.', { cause });
  });
  if (!response.ok && response.status !== 404) {
    throw toApiProblem(response.status, await response.text(), response.headers.get('x-request-id'));
  }
}

function uploadPath(uploadId: string): string {
  return `/uploads/${encodeURIComponent(uploadId)}`;
}

function toError(error: Error | DetailedError): Error {
  const response = 'originalResponse' in error ? error.originalResponse : null;
  if (!response) return new Unreachable('The connection was lost while sending.', { cause: error });
  return problemOf(response);
}

function problemOf(response: HttpResponse): Error {
  return toApiProblem(response.getStatus(), response.getBody(), response.getHeader('x-request-id') ?? null);
}

/** UTF-8 in base64, as `Upload-Metadata` wants it. */
function toBase64(text: string): string {
  return btoa(String.fromCharCode(...new TextEncoder().encode(text)));
}
