import { existsSync } from 'node:fs';
import { extname, join } from 'node:path';
import fastifyStatic from '@fastify/static';
import type { FastifyInstance } from 'fastify';
import { sendProblem } from './problems.js';

/**
 * Serves the built web pages: hashed assets as immutable, every other address without a file ending as the page
 * itself, which reads the address. Unknown addresses of the API answer a problem document.
 */
export async function addStaticFiles(app: FastifyInstance, webFolder: string): Promise<void> {
  const isBuilt = existsSync(join(webFolder, 'index.html'));
  if (isBuilt) await app.register(fastifyStatic, { root: webFolder, serve: false });
  else app.log.warn({ event: 'web.notBuilt', webFolder });
  app.setNotFoundHandler((request, reply) =>
    sendProblem(reply, request, 'resource.notFound', {
      detail: `There is nothing at ${request.method} ${pathOf(request.url)}.`,
    }),
  );
  app.get('/*', { config: { access: 'public' }, schema: { hide: true } }, async (request, reply) => {
    const path = pathOf(request.url);
    if (/^\/api(\/|$)/.test(path)) return reply.callNotFound();
    if (!isBuilt) return reply.code(503).type('text/plain').send('The web pages are not built. Run `npm run build`.\n');
    if (path.startsWith('/assets/')) return reply.sendFile(path.slice(1), { maxAge: '365d', immutable: true });
    const file = extname(path) === '' ? 'index.html' : path.slice(1);
    return reply.sendFile(file, { cacheControl: false }).header('cache-control', 'no-cache');
  });
}

function pathOf(url: string): string {
  return url.split('?', 1)[0];
}
