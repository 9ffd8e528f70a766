import {
  layoutDocument,
  layoutResponse,
  pageQuery,
  platformDocument,
  platformPage,
  platformResponse,
  policyDocument,
  policyRequest,
} from '@syncline/contract';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import type { PlatformService } from '../../services/platforms.js';
import type { App } from '../app.js';
import { toPage } from '../format.js';
import { toLayoutDocument, toPlatformResponse, toPlatformSummary, toPolicyDocument } from './to-platform.js';

const platformParams = z.object({ platformId: z.string() });
const layoutParams = platformParams.extend({ version: z.coerce.number().int().min(1) });

/** Gearboxes, their layouts and grading policies. */
export function addPlatformRoutes(app: App, platforms: PlatformService): void {
  app.get(
    '/platforms',
    { config: { access: 'platform:read' }, schema: { querystring: pageQuery, response: { 200: platformPage } } },
    async (request) => toPage(platforms.list(request.query), toPlatformSummary),
  );

  app.post(
    '/platforms',
    { config: { access: 'platform:write' }, schema: { body: platformDocument, response: { 201: platformResponse } } },
    (request, reply) => {
      reply.code(201);
      return toPlatformResponse(platforms.create(actorOf(request), request.body));
    },
  );

  app.get(
    '/platforms/:platformId',
    { config: { access: 'platform:read' }, schema: { params: platformParams, response: { 200: platformResponse } } },
    async (request) => toPlatformResponse(platforms.get(request.params.platformId)),
  );

  app.post(
    '/platforms/:platformId/layouts',
    {
      config: { access: 'platform:write' },
      schema: { params: platformParams, body: layoutDocument, response: { 201: layoutResponse } },
    },
    (request, reply) => {
      const { layout, findings } = platforms.addLayout(actorOf(request), request.params.platformId, request.body);
      reply.code(201);
      return { layout: toLayoutDocument(layout), findings };
    },
  );

  app.get(
    '/platforms/:platformId/layouts/:version',
    { config: { access: 'platform:read' }, schema: { params: layoutParams, response: { 200: layoutResponse } } },
    async (request, reply) => {
      const { layout, findings } = platforms.getLayout(request.params.platformId, request.params.version);
      reply.header('cache-control', 'private, max-age=31536000, immutable');
      return { layout: toLayoutDocument(layout), findings };
    },
  );

  app.post(
    '/platforms/:platformId/policies',
    {
      config: { access: 'platform:write' },
      schema: { params: platformParams, body: policyRequest, response: { 201: policyDocument } },
    },
    (request, reply) => {
      reply.code(201);
      return toPolicyDocument(platforms.addPolicy(actorOf(request), request.params.platformId, request.body));
    },
  );
}
