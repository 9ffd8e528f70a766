import helmet from '@fastify/helmet';
import type { FastifyInstance } from 'fastify';

/**
 * Headers that keep a page to its own scripts, and answers of the API out of every cache that a route does not open.
 * Style elements are allowed: the component library and the plots write them, and neither takes a nonce everywhere.
 */
export async function addSecurityHeaders(app: FastifyInstance, { isHttps }: { isHttps: boolean }): Promise<void> {
  await app.register(helmet, {
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'self'"],
        scriptSrc: ["'self'"],
        styleSrc: ["'self'", "'unsafe-inline'"],
        imgSrc: ["'self'", 'data:', 'blob:'],
        fontSrc: ["'self'", 'data:'],
        objectSrc: ["'none'"],
        baseUri: ["'self'"],
        formAction: ["'self'"],
        frameAncestors: ["'none'"],
      },
    },
    // A promise of HTTPS made over plain HTTP on a home network would lock people out.
    strictTransportSecurity: isHttps,
    crossOriginOpenerPolicy: isHttps,
    originAgentCluster: isHttps,
  });
  app.addHook('onRequest', async (request, reply) => {
    if (request.routeOptions.url?.startsWith('/api/')) reply.header('cache-control', 'no-store');
  });
}
