import type { FastifyInstance } from 'fastify';

/**
 * One line for each request, and its id on the answer. The line has the route and not the address asked, for an address
 * may hold the secret of an invitation.
 */
export function addRequestLog(app: FastifyInstance): void {
  app.addHook('onRequest', async (request, reply) => {
    reply.header('x-request-id', request.id);
  });
  app.addHook('onResponse', async (request, reply) => {
    request.log.info({
      event: 'request.done',
      method: request.method,
      route: request.routeOptions.url,
      personId: request.actor?.id,
      status: reply.statusCode,
      ms: Math.round(reply.elapsedTime),
    });
  });
}
