import { type Access, mayDo, PERMISSIONS, type Permission, scopesAllow, TERMS_VERSION } from '@syncline/contract';
import type { FastifyInstance, FastifyRequest, RouteOptions } from 'fastify';
import { problem } from '../problem-error.js';
import type { Actor } from '../services/actor.js';

declare module 'fastify' {
  interface FastifyContextConfig {
    /** Who may call the route. The app refuses to start when a route does not say. */
    access?: Access;
  }
}

/** A route and who may call it. */
export interface DeclaredRoute {
  readonly method: string;
  readonly url: string;
  readonly access: Access;
}

/**
 * Refuses to start with a route that declares no access, and keeps out of every other one who may not call it: 401
 * without sign-in, 403 for the wrong role or a token that was not made for it, and for who has yet to agree to the terms
 * or to add a second factor. What single rows a caller sees is decided by the services (404). Returns the routes as they
 * are declared from now on.
 */
export function addAccess(
  app: FastifyInstance,
  { lacksSecondFactor }: { lacksSecondFactor: (actor: Actor) => boolean },
): readonly DeclaredRoute[] {
  const declared: DeclaredRoute[] = [];
  app.addHook('onRoute', (route) => {
    const access = accessOf(route);
    declared.push(...[route.method].flat().map((method) => ({ method, url: route.url, access })));
  });
  app.addHook('onRequest', async (request) => {
    // Only the handler for unknown addresses has no declaration: there is nothing behind it.
    const access = request.routeOptions.config.access;
    if (request.is404 || access === 'public') return;
    if (access === undefined) throw new Error(`${request.method} ${request.url} declares no access`);
    if (!request.actor) throw problem('session.required');
    if (!mayDo(request.actor.role, access)) {
      throw problem('session.forbidden', { detail: `A ${request.actor.role} does not have the right '${access}'.` });
    }
    const { scopes } = request.actor;
    if (scopes && !scopesAllow(scopes, access)) {
      const madeFor = scopes.map((scope) => `'${scope}'`).join(' and ');
      throw problem('token.outOfScope', { detail: `It is made for ${madeFor}, which does not include '${access}'.` });
    }
    // Her own account stays open: there she does what is asked of her.
    if (access === 'session:own') return;
    if (lacksSecondFactor(request.actor)) throw problem('session.secondFactorNeeded');
    if (!isReading(access) && request.actor.consentVersion !== TERMS_VERSION) throw problem('session.consentNeeded');
  });
  return declared;
}

function isReading(permission: Permission): boolean {
  return permission.endsWith(':read');
}

/** The signed-in caller of a route that is not public. */
export function actorOf(request: FastifyRequest): Actor {
  if (!request.actor) throw new Error('a public route has no actor');
  return request.actor;
}

function accessOf(route: RouteOptions): Access {
  const access = route.config?.access;
  if (access === 'public' || (access !== undefined && access in PERMISSIONS)) return access;
  throw new Error(`Route ${String(route.method)} ${route.url} declares no access. Give it config: { access }.`);
}
