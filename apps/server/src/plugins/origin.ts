import type { FastifyInstance, FastifyRequest } from 'fastify';
import { problem } from '../problem-error.js';

const READING = new Set(['GET', 'HEAD', 'OPTIONS']);

/**
 * A write must come from our own pages: its `Origin` is the public address, or the host that was asked. Without an
 * `Origin`, which every browser sends on writes, only requests without a session cookie are taken. A bearer token is sent
 * by a program on purpose, never by a browser on behalf of another site, so that nothing is asked of its requests.
 */
export function addOriginCheck(app: FastifyInstance, publicUrl: string | undefined): void {
  const publicOrigin = publicUrl === undefined ? undefined : new URL(publicUrl).origin;
  app.addHook('onRequest', async (request) => {
    if (READING.has(request.method) || request.actor?.kind === 'token') return;
    const { origin } = request.headers;
    if (origin === undefined ? request.sessionToken === null : isOurs(origin, request)) return;
    throw problem('session.badOrigin', { detail: `The Origin header says ${origin ?? 'nothing'}.` });
  });

  function isOurs(origin: string, request: FastifyRequest): boolean {
    return origin === publicOrigin || (URL.canParse(origin) && new URL(origin).host === request.headers.host);
  }
}
