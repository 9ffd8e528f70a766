import {
  acceptInvitationRequest,
  invitation,
  invitationRequest,
  invitationState,
  pageQuery,
  personPage,
  session,
  setupRequest,
  setupState,
  signInRequest,
} from '@syncline/contract';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import type { GuessCounters } from '../../plugins/guess-limits.js';
import type { PeopleService } from '../../services/people.js';
import type { App } from '../app.js';
import { toPage } from '../format.js';
import { toInvitation, toInvitationState, toPerson, toSession } from './to-person.js';
import { visitOf } from './visit.js';

interface PeopleRoutesOptions {
  readonly people: PeopleService;
  readonly guesses: GuessCounters;
}

const secretParams = z.object({ secret: z.string().max(100) });

/** First run, sign-in, invitations and people. */
export function addPeopleRoutes(app: App, { people, guesses }: PeopleRoutesOptions): void {
  app.get('/setup', { config: { access: 'public' }, schema: { response: { 200: setupState } } }, async () => ({
    isNeeded: people.isSetupNeeded(),
  }));

  app.post(
    '/setup',
    {
      config: { access: 'public' },
      schema: { body: setupRequest, response: { 201: session } },
      preHandler: guesses.byAddress,
    },
    async (request, reply) => {
      const started = await people.setUp(request.body, visitOf(request));
      return reply.setSession(started).code(201).send(toSession(started.session));
    },
  );

  app.post(
    '/session',
    {
      config: { access: 'public' },
      schema: { body: signInRequest, response: { 201: session } },
      preHandler: [guesses.byAddress, guesses.byAccount],
    },
    async (request, reply) => {
      const started = await people.signIn(request.body, visitOf(request));
      return reply.setSession(started).code(201).send(toSession(started.session));
    },
  );

  app.get(
    '/session',
    { config: { access: 'session:own' }, schema: { response: { 200: session } } },
    async (request, reply) => {
      const own = request.ownSession;
      return own ? toSession(own) : reply.callNotFound();
    },
  );

  app.delete(
    '/session',
    { config: { access: 'session:own' }, schema: { response: { 204: z.undefined() } } },
    (request, reply) => {
      people.signOut(actorOf(request), request.sessionToken ?? '');
      reply.clearSession().code(204);
    },
  );

  app.get(
    '/people',
    { config: { access: 'people:read' }, schema: { querystring: pageQuery, response: { 200: personPage } } },
    async (request) => toPage(people.list(request.query), toPerson),
  );

  app.post(
    '/invitations',
    {
      // An answer that is kept for its repetition would keep the secret.
      config: { access: 'people:write', isRepeatable: true },
      schema: { body: invitationRequest, response: { 201: invitation } },
    },
    (request, reply) => {
      reply.code(201).header('cache-control', 'no-store');
      return toInvitation(people.invite(actorOf(request), request.body));
    },
  );

  app.get(
    '/invitations/:secret',
    {
      config: { access: 'public' },
      schema: { params: secretParams, response: { 200: invitationState } },
      preHandler: guesses.byAddress,
    },
    async (request) => toInvitationState(people.getInvitation(request.params.secret)),
  );

  app.post(
    '/invitations/:secret/accept',
    {
      config: { access: 'public' },
      schema: { params: secretParams, body: acceptInvitationRequest, response: { 201: session } },
      preHandler: guesses.byAddress,
    },
    async (request, reply) => {
      const started = await people.acceptInvitation(request.params.secret, request.body, visitOf(request));
      return reply.setSession(started).code(201).send(toSession(started.session));
    },
  );
}
