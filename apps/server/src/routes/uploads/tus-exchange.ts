import { PassThrough, Readable } from 'node:stream';
import type { Store } from '@syncline/store';
import { DataStore, ERRORS, Server, Upload as TusUpload } from '@tus/server';
import type { FastifyRequest } from 'fastify';
import { pipeBody } from '../../plugins/unread-bodies.js';
import { type ProblemError, problem } from '../../problem-error.js';
import type { UploadLocks } from '../../services/upload-locks.js';

/** A request that is asked to let go of an upload has so long to write what came (ms). */
const DRAIN_MS = 500;
/** Carries the id of a new upload to the protocol's own code; no header of that name is taken from outside. */
const ID_HEADER = 'x-upload-id';
const REQUEST_HEADERS = ['tus-resumable', 'upload-offset', 'upload-length', 'content-type', 'content-length'];
const RESPONSE_HEADERS = [
  'tus-version',
  'tus-extension',
  'tus-max-size',
  'upload-offset',
  'upload-length',
  'cache-control',
];

/** The protocol's part of one request, answered with the headers that it gives. Refusals are thrown as problems. */
export type TusExchange = (request: FastifyRequest, uploadId?: string) => Promise<Record<string, string>>;

/**
 * The tus protocol (version 1.0.0, https://tus.io/protocols/resumable-upload) as far as it is about offsets and bytes.
 * Who may ask, what a file may be and what becomes of it is decided around it.
 */
export function createTusExchange(
  store: Store,
  options: { readonly locks: UploadLocks; readonly maxBytes: number },
): TusExchange {
  const faults = new WeakMap<Request, unknown>();
  const server = new Server({
    path: '/uploads',
    datastore: new UploadBytes(store),
    locker: options.locks,
    lockDrainTimeout: DRAIN_MS,
    maxSize: options.maxBytes,
    namingFunction: (request) => request.headers.get(ID_HEADER) ?? '',
    onResponseError: (request, error) => {
      faults.set(request, error);
      return undefined;
    },
  });
  return async (request, uploadId) => {
    const asked = toWebRequest(request, uploadId);
    const response = await server.handleWeb(asked);
    if (response.status >= 400) throw toProblem(faults.get(asked), response.status, await response.text());
    return Object.fromEntries(RESPONSE_HEADERS.flatMap((name) => pairOf(name, response.headers.get(name))));
  };
}

/** Only what the protocol is about goes in: neither cookies nor addresses of the sender. */
function toWebRequest({ method, headers, body, raw }: FastifyRequest, uploadId = ''): Request {
  const taken = REQUEST_HEADERS.flatMap((name) => pairOf(name, headers[name]));
  const path = method === 'POST' || method === 'OPTIONS' ? '/uploads' : `/uploads/${uploadId}`;
  const request = new Request(new URL(path, 'http://uploads.invalid'), {
    method,
    headers: { ...Object.fromEntries(taken), [ID_HEADER]: uploadId },
    ...(body ? { body: Readable.toWeb(pipeBody(raw, new PassThrough())) as ReadableStream, duplex: 'half' } : {}),
  });
  // Tells the protocol's code of a connection that broke, so that it keeps the bytes that had come.
  return Object.assign(request, { runtime: { name: 'node', node: { req: raw } } });
}

function pairOf(name: string, value: string | string[] | null | undefined): [string, string][] {
  return typeof value === 'string' ? [[name, value]] : [];
}

function toProblem(fault: unknown, status: number, text: string): unknown {
  if (fault === ERRORS.ABORTED || fault === ERRORS.ERR_LOCK_TIMEOUT) return problem('upload.inUse');
  // Errors of the bytes underneath say themselves what they are.
  if (fault instanceof Error && !('status_code' in fault)) return fault;
  return refusalOf(status, text.trim()) ?? new Error(`the upload protocol answered ${status}: ${text}`);
}

function refusalOf(status: number, detail: string): ProblemError | undefined {
  switch (status) {
    case 404:
    case 410:
      return problem('upload.expired', { detail });
    case 409:
      return problem('upload.offsetMismatch', { detail });
    case 412:
      return problem('upload.protocol', { detail });
    case 413:
      return problem('log.tooLarge', { detail: `The body goes beyond the announced end of the file: ${detail}.` });
    default:
      return status < 500 ? problem('request.invalid', { detail }) : undefined;
  }
}

/** The bytes of uploads for the protocol's code. Rows are made and ended around it. */
class UploadBytes extends DataStore {
  private readonly store: Store;

  constructor(store: Store) {
    super();
    this.store = store;
    this.extensions = ['creation', 'creation-with-upload', 'termination', 'expiration'];
  }

  override async getUpload(id: string): Promise<TusUpload> {
    const upload = this.store.read.uploads.find(id);
    if (upload?.outcome.state !== 'receiving') throw ERRORS.FILE_NO_LONGER_EXISTS;
    return new TusUpload({ id, size: upload.sizeBytes, offset: this.store.uploads.receivedBytes(id) });
  }

  override write(bytes: Readable, id: string, offset: number): Promise<number> {
    return this.store.uploads.append(id, offset, bytes);
  }
}
