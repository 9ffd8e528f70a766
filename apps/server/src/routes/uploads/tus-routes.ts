import { UPLOAD_LOG_HEADER } from '@syncline/contract';
import type { Upload } from '@syncline/store';
import { TUS_RESUMABLE } from '@tus/server';
import type { FastifyReply } from 'fastify';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import { problem } from '../../problem-error.js';
import type { ResumableUploadService } from '../../services/resumable-uploads.js';
import type { App } from '../app.js';
import { claimOf, metadataOf } from './creation.js';
import type { TusExchange } from './tus-exchange.js';

const BYTES_TYPE = 'application/offset+octet-stream';
const access = 'own:log:write';

const byteCount = z.string().regex(/^\d{1,15}$/, 'expected a number of bytes');
const creationHeaders = z.object({ 'upload-length': byteCount, 'upload-metadata': z.string().max(4000) });
const patchHeaders = z.object({ 'upload-offset': byteCount });
const uploadParams = z.object({ uploadId: z.string() });
const nothing = z.undefined();

/**
 * Resumable uploads by the tus protocol: creation, creation with upload, termination and expiration. Register them in a
 * scope of their own: it changes how bodies are read there.
 */
export function addTusRoutes(
  app: App,
  { resumable, exchange }: { readonly resumable: ResumableUploadService; readonly exchange: TusExchange },
): void {
  speakTus(app);

  app.options('/uploads', { config: { access: 'public' }, schema: { response: { 204: nothing } } }, (request, reply) =>
    exchange(request).then((headers) => answer(reply, 204, headers)),
  );

  app.post(
    '/uploads',
    { config: { access, isRepeatable: true }, schema: { headers: creationHeaders, response: { 201: nothing } } },
    async (request, reply) => {
      const actor = actorOf(request);
      const upload = resumable.begin(actor, claimOf(request.headers));
      // Relative to the address asked, so that it holds below any path that the server is reached under.
      reply.header('location', `uploads/${upload.id}`).header('upload-expires', httpDate(upload.expiresAtMs));
      if (resumable.isOver(upload.id)) return answer(reply, 201, { ...atItsEnd(upload), ...(await logOf(upload)) });
      try {
        const headers = await exchange(request, upload.id);
        return answer(reply, 201, { ...headers, ...(await logOf(upload)) });
      } catch (error) {
        // Its sender never hears of it. What is whole already is finished later.
        if (!resumable.isOver(upload.id)) await resumable.remove(actor, upload.id);
        throw error;
      }
    },
  );

  app.head(
    '/uploads/:uploadId',
    { config: { access }, schema: { params: uploadParams, hide: true } },
    async (request, reply) => {
      const upload = resumable.getOpen(actorOf(request), request.params.uploadId);
      const whenOver = (error?: unknown) => {
        if (!resumable.isOver(upload.id)) throw error;
        return atItsEnd(upload);
      };
      // It may come to its end while this request waits for the one that sends the last bytes.
      const headers = resumable.isOver(upload.id) ? whenOver() : await exchange(request, upload.id).catch(whenOver);
      reply.header('upload-metadata', metadataOf(upload)).header('upload-expires', httpDate(upload.expiresAtMs));
      return answer(reply, 200, { ...headers, ...(await logOf(upload)) });
    },
  );

  app.patch(
    '/uploads/:uploadId',
    {
      config: { access, isRepeatable: true },
      schema: { params: uploadParams, headers: patchHeaders, consumes: [BYTES_TYPE], response: { 204: nothing } },
    },
    async (request, reply) => {
      const upload = resumable.getOpen(actorOf(request), request.params.uploadId);
      if (upload.outcome.state === 'done') {
        throw problem('upload.offsetMismatch', { detail: `All ${upload.sizeBytes} bytes are here.` });
      }
      const headers = await exchange(request, upload.id);
      reply.header('upload-expires', httpDate(resumable.prolong(upload.id)));
      return answer(reply, 204, { ...headers, ...(await logOf(upload)) });
    },
  );

  app.delete(
    '/uploads/:uploadId',
    { config: { access, isRepeatable: true }, schema: { params: uploadParams, response: { 204: nothing } } },
    async (request, reply) => {
      await resumable.remove(actorOf(request), request.params.uploadId);
      return answer(reply, 204, {});
    },
  );

  /** Once the last byte is there: which log it has become. Throws when the file was refused. */
  async function logOf({ id }: Upload): Promise<Record<string, string>> {
    if (!resumable.isOver(id)) return {};
    const { logId } = await resumable.finish(id);
    return { [UPLOAD_LOG_HEADER]: logId };
  }
}

/** Bodies are handed on unread, and requests of other versions are refused. */
function speakTus(app: App): void {
  app.removeAllContentTypeParsers();
  app.addContentTypeParser(BYTES_TYPE, (_request, payload, done) => done(null, payload));
  app.addContentTypeParser('*', (_request, _payload, done) =>
    done(problem('request.mediaType', { detail: `This route reads ${BYTES_TYPE}.` })),
  );
  app.addHook('onRequest', async (request, reply) => {
    reply.header('tus-resumable', TUS_RESUMABLE);
    const spoken = request.headers['tus-resumable'];
    if (request.method === 'OPTIONS' || spoken === TUS_RESUMABLE) return;
    reply.header('tus-version', TUS_RESUMABLE);
    throw problem('upload.protocol', {
      detail: `Tus-Resumable is ${String(spoken ?? 'missing')}, expected ${TUS_RESUMABLE}.`,
    });
  });
}

function atItsEnd({ sizeBytes }: Upload): Record<string, string> {
  return { 'upload-offset': String(sizeBytes), 'upload-length': String(sizeBytes), 'cache-control': 'no-store' };
}

function answer(reply: FastifyReply, status: number, headers: Record<string, string>): FastifyReply {
  return reply.code(status).headers(headers).send();
}

/** As RFC 9110 section 5.6.7 writes it. */
function httpDate(ms: number): string {
  return new Date(ms).toUTCString();
}
