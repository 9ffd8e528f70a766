import type { FastifyRequest } from 'fastify';
import type { Visit } from '../../services/people.js';

/** What a sign-in takes note of in its request. */
export function visitOf(request: FastifyRequest): Visit {
  return { requestId: request.id, client: request.headers['user-agent'] ?? '' };
}
