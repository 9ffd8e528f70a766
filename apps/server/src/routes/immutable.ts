import type { FastifyReply, FastifyRequest } from 'fastify';

/** Marks an answer as never changing, by the hash of its content, and says whether the caller has it already (304). */
export function isKnownContent(request: FastifyRequest, reply: FastifyReply, contentHash: string): boolean {
  const etag = `"${contentHash}"`;
  reply.header('etag', etag).header('cache-control', 'private, max-age=31536000, immutable');
  const known = request.headers['if-none-match']?.split(',') ?? [];
  // A packed answer went out with a weak tag; whether it is known is asked by the weak comparison (RFC 9110, 13.1.2).
  return known.some((tag) => tag.trim().replace(/^W\//, '') === etag);
}
