import cookie from '@fastify/cookie';
import type { FastifyInstance, FastifyReply } from 'fastify';
import { type Actor, actorFor } from '../services/actor.js';
import type { OwnSession, PeopleService, StartedSession } from '../services/people.js';

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

/** Reads the session cookie of each request, and lets routes set and clear it. `Secure` follows the public address. */
export async function addSignIn(
  app: FastifyInstance,
  people: PeopleService,
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
  app.addHook('onRequest', async (request) => {
    const token = request.cookies[SESSION_COOKIE];
    const session = token === undefined ? undefined : people.findSession(token);
    if (!session) return;
    request.ownSession = session;
    request.actor = actorFor(session.person, request.id);
  });
}
