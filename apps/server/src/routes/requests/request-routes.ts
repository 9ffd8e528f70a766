import {
  answerDriveRequest,
  createDriveRequest,
  driveRequest,
  driveRequestListQuery,
  driveRequestPage,
  gapCarsQuery,
  gapCarsResponse,
  gapQuery,
  gapsResponse,
  withdrawDriveRequest,
} from '@syncline/contract';
import type { DriveRequest } from '@syncline/store';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import type { Actor } from '../../services/actor.js';
import type { PlatformService } from '../../services/platforms.js';
import type { GapFilter, GapService } from '../../services/requests/gaps.js';
import type { RequestService } from '../../services/requests/requests.js';
import type { App } from '../app.js';
import { toPage } from '../format.js';
import { toDriveRequest, toGapCar, toGaps } from './to-request.js';

interface RequestRoutesOptions {
  readonly gaps: GapService;
  readonly requests: RequestService;
  readonly platforms: PlatformService;
}

const requestParams = z.object({ requestId: z.string() });
/** Requests that are open at once are far fewer. */
const OPEN_LIMIT = 200;

/** Where evidence is missing, and what is asked of cars to bring it. */
export function addRequestRoutes(app: App, { gaps, requests, platforms }: RequestRoutesOptions): void {
  const toResponse = (actor: Actor, request: DriveRequest) =>
    toDriveRequest(actor, request, platforms.get(request.platformId).platform);

  app.get(
    '/fleet/gaps',
    { config: { access: 'evidence:read' }, schema: { querystring: gapQuery, response: { 200: gapsResponse } } },
    async (request) => {
      const { platform: platformId } = request.query;
      const open = requests.list(actorOf(request), { platformId, state: 'open' }, { limit: OPEN_LIMIT });
      return toGaps(gaps.rank(fromFilter(request.query)), open.items);
    },
  );

  app.get(
    '/fleet/gaps/cars',
    { config: { access: 'request:write' }, schema: { querystring: gapCarsQuery, response: { 200: gapCarsResponse } } },
    async (request) => {
      const { kind, loadBand, fluidTemperatureBand: temperatureBand, ...filter } = request.query;
      return { items: gaps.suit(fromFilter(filter), { kind, loadBand, temperatureBand }).map(toGapCar) };
    },
  );

  app.get(
    '/requests',
    {
      config: { access: 'own:request:read' },
      schema: { querystring: driveRequestListQuery, response: { 200: driveRequestPage } },
    },
    async (request) => {
      const { platform: platformId, state, ...page } = request.query;
      const actor = actorOf(request);
      return toPage(requests.list(actor, { platformId, state }, page), (item) => toResponse(actor, item));
    },
  );

  app.post(
    '/requests',
    { config: { access: 'request:write' }, schema: { body: createDriveRequest, response: { 201: driveRequest } } },
    (request, reply) => {
      const actor = actorOf(request);
      reply.code(201);
      return toResponse(actor, requests.send(actor, request.body));
    },
  );

  app.get(
    '/requests/:requestId',
    { config: { access: 'own:request:read' }, schema: { params: requestParams, response: { 200: driveRequest } } },
    async (request) => {
      const actor = actorOf(request);
      return toResponse(actor, requests.get(actor, request.params.requestId));
    },
  );

  app.post(
    '/requests/:requestId/withdraw',
    {
      config: { access: 'request:write' },
      schema: { params: requestParams, body: withdrawDriveRequest, response: { 200: driveRequest } },
    },
    (request) => {
      const actor = actorOf(request);
      return toResponse(actor, requests.withdraw(actor, request.params.requestId, request.body.reason));
    },
  );

  app.post(
    '/requests/:requestId/answer',
    {
      config: { access: 'own:request:answer' },
      schema: { params: requestParams, body: answerDriveRequest, response: { 200: driveRequest } },
    },
    (request) => {
      const actor = actorOf(request);
      return toResponse(actor, requests.answer(actor, request.params.requestId, request.body));
    },
  );
}

function fromFilter({ platform, revision, program }: z.output<typeof gapQuery>): GapFilter {
  return { platformId: platform, revisionId: revision, program };
}
