import { PassThrough } from 'node:stream';
import { createGunzip } from 'node:zlib';
import { uploadQuery, uploadResponse } from '@syncline/contract';
import { StoreError } from '@syncline/store';
import type { FastifyRequest } from 'fastify';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import { pipeBody } from '../../plugins/unread-bodies.js';
import { ProblemError, problem } from '../../problem-error.js';
import type { UploadClaim, UploadService } from '../../services/uploads.js';
import type { App } from '../app.js';
import { toLogSummary } from './to-log.js';

/** No one is left to read it; it is for the log. */
const CUT_OFF = 'The upload was cut off before its end.';

const MEDIA_TYPES = ['application/octet-stream', 'text/csv', 'text/plain', 'application/gzip'];

/**
 * Takes a drive log as the raw body of the request. The bytes flow to disk as fast as it takes them and are never held
 * in memory. Register it in a scope of its own: it changes how bodies are read there.
 */
export function addUploadRoute(app: App, uploads: UploadService): void {
  app.removeAllContentTypeParsers();
  app.addContentTypeParser(MEDIA_TYPES, (_request, payload, done) => done(null, payload));
  app.addContentTypeParser('*', (_request, _payload, done) =>
    done(problem('request.mediaType', { detail: `This route reads ${MEDIA_TYPES.join(', ')}.` })),
  );

  app.post(
    '/logs',
    {
      config: { access: 'own:log:write', isRepeatable: true },
      schema: {
        querystring: uploadQuery,
        consumes: MEDIA_TYPES,
        response: { 200: uploadResponse, 202: uploadResponse },
      },
      // Before the body is read: a sender need not send gigabytes to be told no.
      preParsing: async (request) => {
        const parsed = uploadQuery.safeParse(request.query);
        if (!parsed.success) return;
        assertEncodingKnown(request);
        uploads.assertAcceptable(actorOf(request), toUpload(parsed.data), announcedBytes(request));
      },
    },
    async (request, reply) => {
      const received = await receive(uploads, request);
      reply.code(received.isDuplicate ? 200 : 202);
      return { log: toLogSummary(received.log), isDuplicate: received.isDuplicate, twin: received.twin };
    },
  );
}

async function receive(uploads: UploadService, request: FastifyRequest) {
  const upload = toUpload(request.query as z.infer<typeof uploadQuery>);
  try {
    return await uploads.receive(actorOf(request), upload, {
      bytes: bytesOf(request),
      expectedBytes: announcedBytes(request),
    });
  } catch (error) {
    // Whatever stops the reading leaves the request cut off; what the store says was the reason.
    const isByStore = error instanceof StoreError || error instanceof ProblemError;
    throw isCutOff(request) && !isByStore ? problem('request.invalid', { detail: CUT_OFF, cause: error }) : error;
  }
}

function toUpload({ vehicle, fileName, drivenAt, revision, sha256 }: z.infer<typeof uploadQuery>): UploadClaim {
  return {
    vehicleId: vehicle,
    fileName,
    drivenAtMs: drivenAt === undefined ? undefined : Date.parse(drivenAt),
    revisionId: revision,
    sha256,
  };
}

function announcedBytes(request: FastifyRequest): number | undefined {
  const length = request.headers['content-length'];
  return length === undefined || isCompressed(request) ? undefined : Number(length);
}

function isCompressed(request: FastifyRequest): boolean {
  return encodingOf(request) === 'gzip';
}

/** Codings are compared without case, and x-gzip means gzip (RFC 9110 section 8.4.1). */
function encodingOf(request: FastifyRequest): string {
  const coding = request.headers['content-encoding']?.trim().toLowerCase() ?? 'identity';
  return coding === 'x-gzip' ? 'gzip' : coding;
}

/** What cannot be unpacked must not be kept as if it were the file itself. */
function assertEncodingKnown(request: FastifyRequest): void {
  const encoding = encodingOf(request);
  if (encoding === 'gzip' || encoding === 'identity') return;
  throw problem('request.mediaType', { detail: `This route takes no content in the coding '${encoding}', only gzip.` });
}

/** A request that was read to its end counts as destroyed as well. */
function isCutOff({ raw }: FastifyRequest): boolean {
  return raw.destroyed && !raw.complete;
}

/** The file's own bytes; a body that was compressed for the way is unpacked as it comes. */
async function* bytesOf(request: FastifyRequest): AsyncGenerator<Uint8Array> {
  if (!isCompressed(request)) {
    yield* pipeBody(request.raw, new PassThrough());
    return;
  }
  try {
    yield* pipeBody(request.raw, createGunzip());
  } catch (error) {
    if (isCutOff(request)) throw error;
    throw problem('log.unreadable', { detail: 'The body is said to be gzip and cannot be unpacked.', cause: error });
  }
}
