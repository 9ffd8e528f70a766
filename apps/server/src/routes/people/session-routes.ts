import { changePasswordRequest, consentRequest, ownSessionsResponse, session } from '@syncline/contract';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import type { GuessCounters } from '../../plugins/guess-limits.js';
import type { PeopleService } from '../../services/people.js';
import type { App } from '../app.js';
import { toOwnSession, toSession } from './to-person.js';

const sessionParams = z.object({ sessionId: z.string() });

/** A person's own sign-ins, password and consent. */
export function addSessionRoutes(
  app: App,
  { people, guesses }: { people: PeopleService; guesses: GuessCounters },
): void {
  app.get(
    '/sessions',
    { config: { access: 'session:own' }, schema: { response: { 200: ownSessionsResponse } } },
    async (request) => ({
      items: people.listSessions(actorOf(request), request.sessionToken ?? '').map(toOwnSession),
    }),
  );

  app.delete(
    '/sessions/:sessionId',
    { config: { access: 'session:own' }, schema: { params: sessionParams, response: { 204: z.undefined() } } },
    (request, reply) => {
      people.endSession(actorOf(request), request.params.sessionId);
      reply.code(204);
    },
  );

  app.put(
    '/session/password',
    {
      // Hashing takes its time, and the answer says nothing that would be worth keeping.
      config: { access: 'session:own', isRepeatable: true },
      schema: { body: changePasswordRequest, response: { 204: z.undefined() } },
      preHandler: guesses.byAccount,
    },
    async (request, reply) => {
      const sessionToken = request.sessionToken ?? '';
      await people.changePassword(actorOf(request), { ...request.body, sessionToken });
      return reply.code(204).send();
    },
  );

  app.post(
    '/session/consent',
    { config: { access: 'session:own' }, schema: { body: consentRequest, response: { 200: session } } },
    (request) => {
      people.consent(actorOf(request), request.body.termsVersion);
      const own = people.findSession(request.sessionToken ?? '');
      if (!own) throw new Error('a consent comes from a sign-in');
      return toSession(own);
    },
  );
}
