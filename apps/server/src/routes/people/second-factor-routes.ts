import { codeRequest, newSecondFactor, passwordRequest, recoveryCodes, secondFactorState } from '@syncline/contract';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import type { GuessCounters } from '../../plugins/guess-limits.js';
import type { SecondFactorService } from '../../services/sign-in/second-factor.js';
import type { App } from '../app.js';
import { toSecondFactorState } from './to-person.js';

interface SecondFactorRoutesOptions {
  readonly secondFactor: SecondFactorService;
  readonly guesses: GuessCounters;
}

/** The authenticator app of the caller. Passwords and codes asked for here count as tries to sign in. */
export function addSecondFactorRoutes(app: App, { secondFactor, guesses }: SecondFactorRoutesOptions): void {
  // Answers hold secrets, which a kept answer would keep; and hashing waits.
  const config = { access: 'session:own', isRepeatable: true } as const;
  const preHandler = guesses.byAccount;

  app.get(
    '/second-factor',
    { config: { access: 'session:own' }, schema: { response: { 200: secondFactorState } } },
    async (request) => toSecondFactorState(secondFactor.state(actorOf(request))),
  );

  app.post(
    '/second-factor',
    { config, preHandler, schema: { body: passwordRequest, response: { 201: newSecondFactor } } },
    async (request, reply) => {
      const begun = await secondFactor.begin(actorOf(request), request.body.password);
      return reply.code(201).header('cache-control', 'no-store').send(begun);
    },
  );

  app.post(
    '/second-factor/confirm',
    { config, preHandler, schema: { body: codeRequest, response: { 200: recoveryCodes } } },
    async (request, reply) => {
      const sessionToken = request.sessionToken ?? '';
      const codes = secondFactor.confirm(actorOf(request), { code: request.body.code, sessionToken });
      return reply.header('cache-control', 'no-store').send({ codes: [...codes] });
    },
  );

  app.post(
    '/second-factor/recovery-codes',
    { config, preHandler, schema: { body: passwordRequest, response: { 201: recoveryCodes } } },
    async (request, reply) => {
      const codes = await secondFactor.renewCodes(actorOf(request), request.body.password);
      return reply
        .code(201)
        .header('cache-control', 'no-store')
        .send({ codes: [...codes] });
    },
  );

  app.post(
    '/second-factor/removal',
    { config, preHandler, schema: { body: passwordRequest, response: { 204: z.undefined() } } },
    async (request, reply) => {
      await secondFactor.remove(actorOf(request), request.body.password);
      return reply.code(204).send();
    },
  );
}
