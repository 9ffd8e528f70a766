import cookie from '@fastify/cookie';
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { problem } from '../problem-error.js';
import { type Actor, actorFor } from '../services/actor.js';
import type { OwnSession, PeopleService, StartedSession } from '../services/people.js';
import type { TokenService } from '../services/tokens.js';

declare module 'fastify' {
  interface FastifyRequest {
    /** The sign-in that the session cookie stands for. */
    ownSession: OwnSession | null;
    actor: Actor | null;
  }
  interface FastifyReply {
    setSession(started: StartedSession): FastifyReply;
    clearSession(): FastifyReply;
  }
}

export const SESSION_COOKIE = 'syncline_session';

/**
 * Finds out who sends a request: by its bearer token, else by its session cookie, which routes may set and clear.
 * `Secure` follows the public address. A request with a token never counts as the one of a cookie that came along.
 */
export async function addSignIn(
  app: FastifyInstance,
  { people, tokens }: { readonly people: PeopleService; readonly tokens: TokenService },
  { isHttps }: { isHttps: boolean },
): Promise<void> {
  await app.register(cookie);
  const cookieOptions = { path: '/', httpOnly: true, sameSite: 'lax', secure: isHttps } as const;
  app.decorateRequest('ownSession', null);
  app.decorateRequest('actor', null);
  app.decorateReply('setSession', function (this: FastifyReply, { token, session }: StartedSession) {
    return this.setCookie(SESSION_COOKIE, token, { ...cookieOptions, expires: new Date(session.absoluteExpiresAtMs) });
  });
  app.decorateReply('clearSession', function (this: FastifyReply) {
    return this.clearCookie(SESSION_COOKIE, cookieOptions);
  });
  app.addHook('onRequest', async (request, reply) => {
    const bearer = bearerOf(request);
    if (bearer !== undefined) {
      request.actor = tokens.findActor(bearer, request.id) ?? null;
      if (request.actor || request.routeOptions.config.access === 'public') return;
      reply.header('www-authenticate', 'Bearer');
      throw problem('token.invalid');
    }
    const token = request.cookies[SESSION_COOKIE];
    const session = token === undefined ? undefined : people.findSession(token);
    if (!session) return;
    request.ownSession = session;
    request.actor = actorFor(session.person, request.id);
  });
}

/** The token of an `Authorization: Bearer …` header (RFC 6750); other schemes belong to whatever stands in front of us. */
function bearerOf({ headers }: FastifyRequest): string | undefined {
  return /^bearer +(\S+) *$/i.exec(headers.authorization ?? '')?.[1];
}
