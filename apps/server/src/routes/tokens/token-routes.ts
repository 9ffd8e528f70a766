import { clubTokensResponse, createTokenRequest, madeToken, tokensResponse } from '@syncline/contract';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import type { TokenService } from '../../services/tokens.js';
import type { App } from '../app.js';
import { toClubToken, toToken } from './to-token.js';

const tokenParams = z.object({ tokenId: z.string() });

/** Personal API tokens: a person's own, and for maintainers those of the whole club. */
export function addTokenRoutes(app: App, tokens: TokenService): void {
  app.get(
    '/tokens',
    { config: { access: 'session:own' }, schema: { response: { 200: tokensResponse } } },
    async (request) => ({ items: tokens.listOwn(actorOf(request)).map(toToken) }),
  );

  app.post(
    '/tokens',
    {
      // An answer that is kept for its repetition would keep the secret.
      config: { access: 'session:own', isRepeatable: true },
      schema: { body: createTokenRequest, response: { 201: madeToken } },
    },
    (request, reply) => {
      const made = tokens.make(actorOf(request), request.body);
      reply.code(201).header('cache-control', 'no-store');
      return { ...toToken(made), secret: made.secret };
    },
  );

  app.delete(
    '/tokens/:tokenId',
    { config: { access: 'session:own' }, schema: { params: tokenParams, response: { 204: z.undefined() } } },
    (request, reply) => {
      tokens.revokeOwn(actorOf(request), request.params.tokenId);
      reply.code(204);
    },
  );

  app.get(
    '/people/tokens',
    { config: { access: 'people:write' }, schema: { response: { 200: clubTokensResponse } } },
    async () => ({ items: tokens.listAll().map(toClubToken) }),
  );

  app.delete(
    '/people/tokens/:tokenId',
    { config: { access: 'people:write' }, schema: { params: tokenParams, response: { 204: z.undefined() } } },
    (request, reply) => {
      tokens.revoke(actorOf(request), request.params.tokenId);
      reply.code(204);
    },
  );
}
