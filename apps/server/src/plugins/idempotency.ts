import { createHash } from 'node:crypto';
import type { Store } from '@syncline/store';
import type { FastifyInstance, FastifyReply, FastifyRequest, RouteHandlerMethod, RouteOptions } from 'fastify';
import { problem } from '../problem-error.js';

const WRITING = new Set(['POST', 'PUT', 'PATCH', 'DELETE']);
export const MAX_KEY_LENGTH = 200;

declare module 'fastify' {
  interface FastifyContextConfig {
    /** The route finds repetitions by itself: an upload by its bytes. Its handler may wait for things. */
    isRepeatable?: boolean;
  }
}

/**
 * Lets a signed-in write with an `Idempotency-Key` happen once: the answer is kept in the transaction of the write and
 * given again to a repetition. Handlers of such writes return their payload and wait for nothing. Public routes have
 * no one to keep an answer for.
 */
export function addIdempotency(app: FastifyInstance, store: Store): void {
  app.addHook('onRoute', (route) => {
    if (isKept(route)) route.handler = onceOnly(route.handler, store);
  });
}

/** Whether the answers of a route are kept. */
export function isKept(route: RouteOptions): boolean {
  const isWriting = [route.method].flat().some((method) => WRITING.has(method));
  return isWriting && route.config?.access !== 'public' && !route.config?.isRepeatable;
}

function onceOnly(handler: RouteHandlerMethod, store: Store): RouteHandlerMethod {
  return async function (this: FastifyInstance, request, reply) {
    const run = () => payloadOf(handler.call(this, request, reply));
    const key = request.headers['idempotency-key'];
    if (key === undefined) return run();
    const identity = { ...keyOf(request, key), requestHash: hashRequest(request) };
    const kept = store.idempotency.find(identity.personId, identity.key);
    if (kept && kept.requestHash !== identity.requestHash) throw problem('request.idempotencyMismatch');
    if (kept) return answer(reply.code(kept.status).header('idempotency-replayed', 'true'), kept.body);
    const body = store.transaction(() => {
      const payload = run();
      const text = payload === undefined ? '' : (reply.serialize(payload) as string);
      store.idempotency.keep({ ...identity, status: reply.statusCode, body: text });
      return text;
    });
    return answer(reply, body);
  };
}

function payloadOf(result: unknown): unknown {
  if (result instanceof Promise) throw new Error('a write that keeps its answer must not wait');
  return result;
}

function keyOf(request: FastifyRequest, key: string | string[]): { personId: string; key: string } {
  if (typeof key !== 'string' || key.length === 0 || key.length > MAX_KEY_LENGTH) {
    throw problem('request.invalid', { detail: `Idempotency-Key takes 1 to ${MAX_KEY_LENGTH} characters.` });
  }
  return { personId: request.actor?.id ?? '', key };
}

function hashRequest(request: FastifyRequest): string {
  const { method, url, body } = request;
  const hash = createHash('sha256');
  // The bytes of a file are hashed as they are: as JSON they would be a list of numbers.
  return Buffer.isBuffer(body)
    ? hash
        .update(JSON.stringify([method, url]))
        .update(body)
        .digest('hex')
    : hash.update(JSON.stringify([method, url, body ?? null])).digest('hex');
}

function answer(reply: FastifyReply, body: string): string | undefined {
  if (body === '') return undefined;
  reply.type('application/json; charset=utf-8');
  return body;
}
