import {
  addDialectRequest,
  busSignalsResponse,
  dialectProfileResponse,
  learnDialectRequest,
  platformCapturesResponse,
  platformResponse,
  setBusSignalsRequest,
  setDialectProfileRequest,
} from '@syncline/contract';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import type { DialectService } from '../../services/dialects.js';
import type { App } from '../app.js';
import { toBusSignals, toDialectProfile, toPlatformCapture } from './to-dialect.js';
import { toPlatformResponse } from './to-platform.js';

const platformParams = z.object({ platformId: z.string() });
const dialectParams = platformParams.extend({ dialectId: z.string() });

/** Bodies of a list of 4096 signals, and of a profile of 2048 identifiers. */
const BODY_LIMIT = 4 * 1024 * 1024;

/** Bus dialects of a platform: their signal lists and profiles, and the captures that these are learned from. */
export function addDialectRoutes(app: App, dialects: DialectService): void {
  app.post(
    '/platforms/:platformId/dialects',
    {
      config: { access: 'platform:write' },
      schema: { params: platformParams, body: addDialectRequest, response: { 201: platformResponse } },
    },
    (request, reply) => {
      reply.code(201);
      return toPlatformResponse(dialects.add(actorOf(request), request.params.platformId, request.body));
    },
  );

  app.get(
    '/platforms/:platformId/dialects/:dialectId/signals',
    {
      config: { access: 'platform:read' },
      schema: { params: dialectParams, response: { 200: busSignalsResponse } },
    },
    async ({ params: { platformId, dialectId } }) =>
      toBusSignals(platformId, dialectId, dialects.getSignals(platformId, dialectId)),
  );

  app.put(
    '/platforms/:platformId/dialects/:dialectId/signals',
    {
      bodyLimit: BODY_LIMIT,
      config: { access: 'platform:write' },
      schema: { params: dialectParams, body: setBusSignalsRequest, response: { 200: busSignalsResponse } },
    },
    (request) => {
      const { platformId, dialectId } = request.params;
      const list = dialects.setSignals(actorOf(request), platformId, dialectId, request.body.signals);
      return toBusSignals(platformId, dialectId, list);
    },
  );

  app.get(
    '/platforms/:platformId/dialects/:dialectId/profile',
    {
      config: { access: 'platform:read' },
      schema: { params: dialectParams, response: { 200: dialectProfileResponse } },
    },
    async ({ params: { platformId, dialectId } }) =>
      toDialectProfile(platformId, dialectId, dialects.getProfile(platformId, dialectId)),
  );

  app.put(
    '/platforms/:platformId/dialects/:dialectId/profile',
    {
      bodyLimit: BODY_LIMIT,
      config: { access: 'platform:write' },
      schema: { params: dialectParams, body: setDialectProfileRequest, response: { 200: dialectProfileResponse } },
    },
    (request) => {
      const { platformId, dialectId } = request.params;
      const profile = dialects.setProfile(actorOf(request), platformId, dialectId, request.body.identifiers);
      return toDialectProfile(platformId, dialectId, profile);
    },
  );

  app.post(
    '/platforms/:platformId/dialects/:dialectId/learn',
    {
      config: { access: 'platform:write' },
      schema: { params: dialectParams, body: learnDialectRequest, response: { 201: dialectProfileResponse } },
    },
    (request, reply) => {
      const { platformId, dialectId } = request.params;
      const profile = dialects.learn(actorOf(request), platformId, dialectId, request.body.captureIds);
      reply.code(201);
      return toDialectProfile(platformId, dialectId, profile);
    },
  );

  app.get(
    '/platforms/:platformId/captures',
    {
      config: { access: 'platform:write' },
      schema: { params: platformParams, response: { 200: platformCapturesResponse } },
    },
    async (request) => ({ items: dialects.listCaptures(request.params.platformId).map(toPlatformCapture) }),
  );
}
