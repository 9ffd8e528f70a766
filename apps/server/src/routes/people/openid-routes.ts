import type { CookieSerializeOptions } from '@fastify/cookie';
import { beginOpenIdRequest, begunOpenId, codeRequest, openIdOffer, session } from '@syncline/contract';
import type { FastifyReply, FastifyRequest } from 'fastify';
import type { CookieScope } from '../../plugins/base-path.js';
import type { GuessCounters } from '../../plugins/guess-limits.js';
import { ProblemError, problem } from '../../problem-error.js';
import type { PeopleService } from '../../services/people.js';
import type { OpenIdAttempt, OpenIdService } from '../../services/sign-in/openid.js';
import { createSealer } from '../../services/sign-in/sealed.js';
import type { App } from '../app.js';
import { toSession } from './to-person.js';
import { visitOf } from './visit.js';

interface OpenIdRoutesOptions {
  readonly openId: OpenIdService;
  readonly people: PeopleService;
  readonly guesses: GuessCounters;
  readonly clock: () => number;
  readonly publicUrl: string | undefined;
  readonly cookies: CookieScope;
}

/** Somebody whom the provider has vouched for, and whose code is still to come. */
interface Pending {
  readonly personId: string;
  readonly email: string;
}

/** Long enough for a password, a code and a look for the telephone. */
const ATTEMPT_MS = 10 * 60_000;

declare module 'fastify' {
  interface FastifyRequest {
    pendingSignIn: Pending | null;
  }
}

/** Sign-in by an OpenID provider, where the settings name one. */
export function addOpenIdRoutes(app: App, options: OpenIdRoutesOptions): void {
  const { openId, people, guesses, clock, publicUrl } = options;
  const { prefix, path, isSecure: secure } = options.cookies;
  const [attemptCookie, pendingCookie] = [`${prefix}syncline_attempt`, `${prefix}syncline_pending`];
  const [attempts, pendings] = [createSealer(clock), createSealer(clock)];
  // Lax: the way back from the provider is a plain link, on which the cookie has to come along.
  const cookieOptions: CookieSerializeOptions = { path, httpOnly: true, sameSite: 'lax', secure };
  const sealedUntil = () => clock() + ATTEMPT_MS;
  app.decorateRequest('pendingSignIn', null);

  function keep(reply: FastifyReply, name: string, sealed: string): void {
    reply.setCookie(name, sealed, { ...cookieOptions, maxAge: ATTEMPT_MS / 1000 });
  }

  function goTo(reply: FastifyReply, path: string) {
    return reply.header('cache-control', 'no-store').redirect(`${publicUrl ?? ''}${path}`, 303);
  }

  app.get('/openid', { config: { access: 'public' }, schema: { response: { 200: openIdOffer } } }, async () => ({
    name: openId.name,
  }));

  app.post(
    '/openid/begin',
    {
      config: { access: 'public' },
      schema: { body: beginOpenIdRequest, response: { 201: begunOpenId } },
      preHandler: guesses.byAddress,
    },
    async (request, reply) => {
      const { to = '/', joining } = request.body;
      const { location, attempt } = await openId.begin({
        to,
        joining: joining ? { invitation: joining.invitation, termsVersion: joining.termsVersion } : null,
      });
      keep(reply, attemptCookie, attempts.seal(attempt, sealedUntil()));
      return reply.code(201).header('cache-control', 'no-store').send({ location });
    },
  );

  app.get(
    '/openid/callback',
    { config: { access: 'public' }, preHandler: guesses.byAddress },
    async (request, reply) => {
      reply.clearCookie(attemptCookie, cookieOptions);
      try {
        return goTo(reply, await comeBack(request, reply));
      } catch (error) {
        // The browser stands on an address of the API: it is sent to a page that can say what went wrong.
        const code = error instanceof ProblemError ? error.code : codeOf(error);
        request.log.warn({ event: 'openId.failed', code, err: error });
        return goTo(reply, signInPath({ problem: code }));
      }
    },
  );

  /** Lets in, or keeps a note that a code is to come; says where to go. */
  async function comeBack(request: FastifyRequest, reply: FastifyReply): Promise<string> {
    const attempt = attempts.open(request.cookies[attemptCookie] ?? '') as OpenIdAttempt | undefined;
    if (!attempt) throw problem('session.expired');
    const identity = await openId.identify(request.url.split('?').slice(1).join('?'), attempt);
    if (attempt.joining) {
      const { invitation, termsVersion } = attempt.joining;
      const person = { ...openId.newPersonFrom(identity), termsVersion };
      reply.setSession(people.acceptFromProvider(invitation, person, visitOf(request)));
      return '/';
    }
    const person = openId.personFor(identity, request.id);
    const entered = people.enterFromProvider(person, visitOf(request));
    if (entered !== 'codeNeeded') {
      reply.setSession(entered);
      return attempt.to;
    }
    const pending: Pending = { personId: person.id, email: person.email };
    keep(reply, pendingCookie, pendings.seal(pending, sealedUntil()));
    return signInPath({ step: 'code', to: attempt.to });
  }

  app.post(
    '/session/code',
    {
      config: { access: 'public' },
      schema: { body: codeRequest, response: { 201: session } },
      preHandler: [
        guesses.byAddress,
        async (request) => {
          request.pendingSignIn = (pendings.open(request.cookies[pendingCookie] ?? '') as Pending | undefined) ?? null;
          if (!request.pendingSignIn) throw problem('session.expired');
        },
        guesses.byAccount,
      ],
    },
    async (request, reply) => {
      const started = people.enterByCode(request.pendingSignIn?.personId ?? '', request.body.code, visitOf(request));
      reply.clearCookie(pendingCookie, cookieOptions);
      return reply.setSession(started).code(201).send(toSession(started.session));
    },
  );
}

/** Address of the sign-in page, and what it is told. */
function signInPath(search: Readonly<Record<string, string>>): string {
  return `/sign-in?${new URLSearchParams(search).toString()}`;
}

/** What the page is told of a refusal of the store, or of a fault. */
function codeOf(error: unknown): string {
  const code = error instanceof Error && 'code' in error ? error.code : undefined;
  if (code === 'email_taken') return 'person.emailTaken';
  return code === 'invitation_invalid' ? 'invitation.invalid' : 'server.fault';
}
