import cookie from '@fastify/cookie';
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { problem } from '../problem-error.js';
import { type Actor, actorFor } from '../services/actor.js';
import type { OwnSession, PeopleService, StartedSession } from '../services/people.js';
import type { TokenService } from '../services/tokens.js';
import type { CookieScope } from './base-path.js';

declare module 'fastify' {
  interface FastifyRequest {
    /** The sign-in that the session cookie stands for. */
    ownSession: OwnSession | null;
    actor: Actor | null;
    /** What the session cookie holds; null for a request without one. */
    sessionToken: string | null;
  }
  interface FastifyReply {
    setSession(started: StartedSession): FastifyReply;
    clearSession(): FastifyReply;
  }
}

export function sessionCookieName({ prefix }: CookieScope): string {
  return `${prefix}syncline_session`;
}

/**
 * Finds out who sends a request: by its bearer token, else by its session cookie, which routes may set and clear.
 * `Secure` follows the public address. A request with a token never counts as the one of a cookie that came along.
 */
export async function addSignIn(
  app: FastifyInstance,
  { people, tokens }: { readonly people: PeopleService; readonly tokens: TokenService },
  scope: CookieScope,
): Promise<void> {
  await app.register(cookie);
  const name = sessionCookieName(scope);
  const cookieOptions = { path: scope.path, httpOnly: true, sameSite: 'lax', secure: scope.isSecure } as const;
  app.decorateRequest('ownSession', null);
  app.decorateRequest('actor', null);
  app.decorateRequest('sessionToken', null);
  app.decorateReply('setSession', function (this: FastifyReply, { token, session }: StartedSession) {
    return this.setCookie(name, token, { ...cookieOptions, expires: new Date(session.absoluteExpiresAtMs) });
  });
  app.decorateReply('clearSession', function (this: FastifyReply) {
    return this.clearCookie(name, cookieOptions);
  });
  app.addHook('onRequest', async (request, reply) => {
    request.sessionToken = request.cookies[name] ?? null;
    const bearer = bearerOf(request);
    if (bearer !== undefined) {
      request.actor = tokens.findActor(bearer, request.id) ?? null;
      if (request.actor || request.routeOptions.config.access === 'public') return;
      reply.header('www-authenticate', 'Bearer');
      throw problem('token.invalid');
    }
    const session = request.sessionToken === null ? undefined : people.findSession(request.sessionToken);
    if (!session) return;
    request.ownSession = session;
    request.actor = actorFor(session.person, request.id);
  });
}

/** The token of an `Authorization: Bearer …` header (RFC 6750); other schemes belong to whatever stands in front of us. */
function bearerOf({ headers }: FastifyRequest): string | undefined {
  return /^bearer +(\S+) *$/i.exec(headers.authorization ?? '')?.[1];
}
