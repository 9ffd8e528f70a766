import { draftResponse, exportQuery, importQuery, signatureResponse, signingKeyResponse } from '@syncline/contract';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import type { SigningService } from '../../services/signing.js';
import type { ExportedFile, TransferService } from '../../services/transfer.js';
import type { App } from '../app.js';
import { attachment } from '../csv.js';
import { MAX_CONTENT_BYTES } from '../drafts/draft-routes.js';
import { toDraftResponse } from '../drafts/to-draft.js';

interface TransferRoutesOptions {
  readonly signing: SigningService;
  readonly transfer: TransferService;
}

const revisionParams = z.object({ revisionId: z.string() });
const draftParams = z.object({ draftId: z.string() });
const calibrationParams = z.object({ calibrationId: z.string() });
const layoutParams = z.object({ platformId: z.string(), version: z.coerce.number().int().min(1) });
const read = { access: 'calibration:read' } as const;
const FILE_TYPES = [
  'application/json',
  'text/csv',
  'text/tab-separated-values',
  'text/plain',
  'application/octet-stream',
];

/** Calibrations as files, and what vouches for them. */
export function addTransferRoutes(app: App, { signing, transfer }: TransferRoutesOptions): void {
  app.get(
    '/revisions/:revisionId/export',
    { config: read, schema: { params: revisionParams, querystring: exportQuery, produces: FILE_TYPES } },
    async (request, reply) =>
      sendFile(request, reply, transfer.exportRevision(request.params.revisionId, request.query)),
  );

  app.get(
    '/drafts/:draftId/export',
    { config: read, schema: { params: draftParams, querystring: exportQuery, produces: FILE_TYPES } },
    async (request, reply) => sendFile(request, reply, transfer.exportDraft(request.params.draftId, request.query)),
  );

  app.get(
    '/platforms/:platformId/layouts/:version/document-schema',
    {
      config: { access: 'platform:read' },
      schema: { params: layoutParams, produces: ['application/schema+json'] },
    },
    async (request, reply) => {
      const schema = transfer.documentSchema(request.params.platformId, request.params.version);
      return reply
        .type('application/schema+json; charset=utf-8')
        .serializer(String)
        .send(`${JSON.stringify(schema, null, 2)}\n`);
    },
  );

  app.get(
    '/revisions/:revisionId/signature',
    { config: read, schema: { params: revisionParams, response: { 200: signatureResponse } } },
    async (request) => signing.signRevision(request.params.revisionId),
  );

  app.get(
    '/signing-key',
    { config: { access: 'public' }, schema: { response: { 200: signingKeyResponse } } },
    async () => signing.publicKey,
  );
}

/**
 * Takes a calibration as the raw body of the request, whatever it says it is: the format is told by the bytes. Register
 * it in a scope of its own: it changes how bodies are read there.
 */
export function addImportRoute(app: App, transfer: TransferService): void {
  app.removeAllContentTypeParsers();
  app.addContentTypeParser('*', { parseAs: 'buffer' }, (_request, body, done) => done(null, body));

  app.post(
    '/calibrations/:calibrationId/import',
    {
      config: { access: 'calibration:write' },
      schema: {
        params: calibrationParams,
        querystring: importQuery,
        consumes: FILE_TYPES,
        response: { 201: draftResponse },
      },
      bodyLimit: MAX_CONTENT_BYTES,
    },
    (request, reply) => {
      const { fileName, parent, layoutVersion, line } = request.query;
      const bytes = (request.body as Buffer | undefined) ?? Buffer.alloc(0);
      const query = { fileName, parentId: parent, layoutVersion, line };
      reply.code(201);
      return toDraftResponse(transfer.importFile(actorOf(request), request.params.calibrationId, bytes, query));
    },
  );
}

function sendFile(request: FastifyRequest, reply: FastifyReply, { fileName, mediaType, bytes, sha256 }: ExportedFile) {
  const etag = `"${sha256}"`;
  reply.header('etag', etag).header('cache-control', 'private, no-cache').header('x-content-sha256', sha256);
  if (request.headers['if-none-match'] === etag) return reply.code(304).send();
  return reply.type(mediaType).header('content-disposition', attachment(fileName)).send(bytes);
}
