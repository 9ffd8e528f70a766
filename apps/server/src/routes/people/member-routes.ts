import { eraseRequest, erasure, person, resetLink, resetRequest, resetState, suspendRequest } from '@syncline/contract';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import type { GuessCounters } from '../../plugins/guess-limits.js';
import type { MemberService } from '../../services/sign-in/members.js';
import type { App } from '../app.js';
import { toInstant } from '../format.js';
import { toPerson } from './to-person.js';

const personParams = z.object({ personId: z.string() });
const secretParams = z.object({ secret: z.string().max(100) });

/** What maintainers do about accounts of others, and where their links for a new password lead. */
export function addMemberRoutes(
  app: App,
  { members, guesses }: { members: MemberService; guesses: GuessCounters },
): void {
  const config = { access: 'people:write' } as const;

  app.delete(
    '/people/:personId/sessions',
    { config, schema: { params: personParams, response: { 204: z.undefined() } } },
    (request, reply) => {
      members.endSessions(actorOf(request), request.params.personId);
      reply.code(204);
    },
  );

  app.put(
    '/people/:personId/suspension',
    { config, schema: { params: personParams, body: suspendRequest, response: { 200: person } } },
    (request) => toPerson(members.suspend(actorOf(request), request.params.personId, request.body.reason)),
  );

  app.delete(
    '/people/:personId/suspension',
    { config, schema: { params: personParams, response: { 200: person } } },
    (request) => toPerson(members.reactivate(actorOf(request), request.params.personId)),
  );

  app.delete(
    '/people/:personId/second-factor',
    { config, schema: { params: personParams, response: { 204: z.undefined() } } },
    (request, reply) => {
      members.removeSecondFactor(actorOf(request), request.params.personId);
      reply.code(204);
    },
  );

  app.post(
    '/people/:personId/erasure',
    // Files go as soon as the rows are written: not before an answer that would be kept with them.
    {
      config: { ...config, isRepeatable: true },
      schema: { params: personParams, body: eraseRequest, response: { 200: erasure } },
    },
    async (request) => members.erase(actorOf(request), request.params.personId, request.body.email),
  );

  app.post(
    '/session/erasure',
    {
      config: { access: 'session:own', isRepeatable: true },
      schema: { body: eraseRequest, response: { 200: erasure } },
    },
    async (request, reply) => {
      const actor = actorOf(request);
      const counts = members.erase(actor, actor.id, request.body.email);
      reply.clearSession();
      return counts;
    },
  );

  app.post(
    '/people/:personId/reset-link',
    {
      // An answer that is kept for its repetition would keep the secret.
      config: { ...config, isRepeatable: true },
      schema: { params: personParams, response: { 201: resetLink } },
    },
    async (request, reply) => {
      const { path, expiresAtMs } = members.makeReset(actorOf(request), request.params.personId);
      return reply
        .code(201)
        .header('cache-control', 'no-store')
        .send({ path, expiresAt: toInstant(expiresAtMs) });
    },
  );

  app.get(
    '/resets/:secret',
    {
      config: { access: 'public' },
      schema: { params: secretParams, response: { 200: resetState } },
      preHandler: guesses.byAddress,
    },
    async (request) => {
      const { expiresAtMs, ...state } = members.getReset(request.params.secret);
      return { ...state, expiresAt: toInstant(expiresAtMs) };
    },
  );

  app.post(
    '/resets/:secret',
    {
      config: { access: 'public' },
      schema: { params: secretParams, body: resetRequest, response: { 204: z.undefined() } },
      preHandler: guesses.byAddress,
    },
    async (request, reply) => {
      await members.resetPassword(request.params.secret, request.body.newPassword, request.id);
      return reply.code(204).send();
    },
  );
}
