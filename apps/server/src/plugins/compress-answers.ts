import { promisify } from 'node:util';
import { gzip } from 'node:zlib';
import type { FastifyInstance, FastifyReply } from 'fastify';

const compress = promisify(gzip);
/** Shorter answers fit into the first packets anyway (characters); they are also those that hold secrets. */
const LEAST_LENGTH = 8192;
/** Of 9. JSON of figures shrinks to a fifth at about 60 MB/s; higher levels win little. */
const LEVEL = 4;

/**
 * Packs long answers of the API for clients that take it, on a thread of the library, so that other requests do not wait.
 * Files to be kept are sent as they are.
 */
export function addCompression(app: FastifyInstance): void {
  app.addHook('onSend', async (request, reply, payload) => {
    if (typeof payload !== 'string' || payload.length < LEAST_LENGTH) return payload;
    if (reply.hasHeader('content-disposition') || reply.hasHeader('content-encoding')) return payload;
    addTo(reply, 'vary', 'accept-encoding');
    if (!takesGzip(String(request.headers['accept-encoding'] ?? ''))) return payload;
    const packed = await compress(payload, { level: LEVEL });
    weakenTag(reply);
    reply.header('content-encoding', 'gzip').removeHeader('content-length');
    return packed;
  });
}

/** Whether a list of encodings names gzip and does not refuse it by `q=0`. */
function takesGzip(accepted: string): boolean {
  return accepted.split(',').some((entry) => {
    const [name, weight = 'q=1'] = entry.split(';').map((part) => part.trim().toLowerCase());
    return name === 'gzip' && Number(weight.replace(/^q=/, '')) > 0;
  });
}

/** A strong tag stands for the bytes that are sent, and these are now others (RFC 9110, 8.8.1). */
function weakenTag(reply: FastifyReply): void {
  const tag = reply.getHeader('etag');
  if (typeof tag === 'string' && !tag.startsWith('W/')) reply.header('etag', `W/${tag}`);
}

function addTo(reply: FastifyReply, header: string, value: string): void {
  const before = reply.getHeader(header);
  reply.header(header, before === undefined ? value : `${String(before)}, ${value}`);
}
