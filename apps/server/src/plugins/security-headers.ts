import helmet from '@fastify/helmet';
import type { FastifyInstance } from 'fastify';

/** Headers that keep a page to its own scripts. Style elements are allowed: the component library writes them. */
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
}
