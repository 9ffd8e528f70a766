import { existsSync, readFileSync } from 'node:fs';
import { extname, join } from 'node:path';
import fastifyStatic from '@fastify/static';
import type { FastifyInstance } from 'fastify';
import { sendProblem } from './problems.js';

/**
 * Serves the built web pages: hashed assets as immutable, packed where the build packed them and the browser takes it;
 * every other address without a file ending as the page itself, which reads the address. Unknown addresses of the API
 * answer a problem document. The page learns from its `<base href>` below which path it is served.
 */
export async function addStaticFiles(app: FastifyInstance, webFolder: string, basePath: string): Promise<void> {
  const pagePath = join(webFolder, 'index.html');
  const isBuilt = existsSync(pagePath);
  if (isBuilt) await app.register(fastifyStatic, { root: webFolder, serve: false, preCompressed: true });
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
    reply.header('cache-control', 'no-cache');
    if (extname(path) !== '') return reply.sendFile(path.slice(1), { cacheControl: false });
    if (basePath === '/') return reply.sendFile('index.html', { cacheControl: false });
    const page = readFileSync(pagePath, 'utf8').replace('<base href="/" />', `<base href="${basePath}" />`);
    return reply.type('text/html; charset=utf-8').send(page);
  });
}

function pathOf(url: string): string {
  return url.split('?', 1)[0];
}
