import {
  createVehicleRequest,
  decideDialectRequest,
  installRequest,
  type LogFormat,
  observeDialectRequest,
  pageQuery,
  type SignalMapDocument,
  setTagsRequest,
  signalMap,
  signalMapQuery,
  signalMapResponse,
  updateVehicleRequest,
  vehicleDialectResponse,
  vehiclePage,
  vehicleResponse,
} from '@syncline/contract';
import type { VehicleDetail } from '@syncline/store';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import type { Actor } from '../../services/actor.js';
import type { VehicleService } from '../../services/vehicles.js';
import type { App } from '../app.js';
import { toInstantOrNull, toPage } from '../format.js';
import { toVehicleDialect, toVehicleResponse, toVehicleSummary } from './to-vehicle.js';

const vehicleParams = z.object({ vehicleId: z.string() });

/** Cars: their profile, what they run, which bus dialect they speak, and how their logs are read. */
export function addVehicleRoutes(app: App, vehicles: VehicleService): void {
  const respond = (vehicle: VehicleDetail) => toVehicleResponse(vehicle, vehicles.outcomeByShift(vehicle));
  const respondMap = (actor: Actor, vehicleId: string, format: LogFormat) => {
    const maps = vehicles.listSignalMaps(actor, vehicleId);
    const saved = maps.find((entry) => entry.format === format);
    return {
      vehicleId,
      format,
      map: (saved?.map ?? null) as SignalMapDocument | null,
      updatedAt: toInstantOrNull(saved?.updatedAtMs ?? null),
      mappedFormats: maps.map((entry) => entry.format),
    };
  };

  app.get(
    '/vehicles',
    { config: { access: 'own:vehicle:read' }, schema: { querystring: pageQuery, response: { 200: vehiclePage } } },
    async (request) => toPage(vehicles.list(actorOf(request), request.query), toVehicleSummary),
  );

  app.post(
    '/vehicles',
    {
      config: { access: 'own:vehicle:write' },
      schema: { body: createVehicleRequest, response: { 201: vehicleResponse } },
    },
    (request, reply) => {
      reply.code(201);
      return respond(vehicles.create(actorOf(request), request.body));
    },
  );

  app.get(
    '/vehicles/:vehicleId',
    { config: { access: 'own:vehicle:read' }, schema: { params: vehicleParams, response: { 200: vehicleResponse } } },
    async (request) => {
      const vehicle = vehicles.get(actorOf(request), request.params.vehicleId);
      return toVehicleResponse(vehicle, vehicles.outcomeByShift(vehicle, await vehicles.fleetFlares(vehicle)));
    },
  );

  app.patch(
    '/vehicles/:vehicleId',
    {
      config: { access: 'own:vehicle:write' },
      schema: { params: vehicleParams, body: updateVehicleRequest, response: { 200: vehicleResponse } },
    },
    (request) => respond(vehicles.update(actorOf(request), request.params.vehicleId, request.body)),
  );

  app.post(
    '/vehicles/:vehicleId/installations',
    {
      config: { access: 'own:vehicle:write' },
      schema: { params: vehicleParams, body: installRequest, response: { 201: vehicleResponse } },
    },
    (request, reply) => {
      const { revisionId, sinceAt } = request.body;
      const sinceAtMs = sinceAt === undefined ? undefined : Date.parse(sinceAt);
      reply.code(201);
      return respond(vehicles.install(actorOf(request), request.params.vehicleId, revisionId, sinceAtMs));
    },
  );

  app.put(
    '/vehicles/:vehicleId/tags',
    {
      config: { access: 'vehicle:observe' },
      schema: { params: vehicleParams, body: setTagsRequest, response: { 200: vehicleResponse } },
    },
    (request) => respond(vehicles.setTags(actorOf(request), request.params.vehicleId, request.body.tags)),
  );

  app.post(
    '/vehicles/:vehicleId/observations',
    {
      config: { access: 'vehicle:observe' },
      schema: { params: vehicleParams, body: observeDialectRequest, response: { 201: vehicleResponse } },
    },
    (request, reply) => {
      reply.code(201);
      return respond(vehicles.observe(actorOf(request), request.params.vehicleId, request.body));
    },
  );

  app.get(
    '/vehicles/:vehicleId/dialect',
    {
      config: { access: 'own:vehicle:read' },
      schema: { params: vehicleParams, response: { 200: vehicleDialectResponse } },
    },
    async (request) => toVehicleDialect(vehicles.getDialect(actorOf(request), request.params.vehicleId)),
  );

  app.post(
    '/vehicles/:vehicleId/dialect/decisions',
    {
      config: { access: 'vehicle:observe' },
      schema: { params: vehicleParams, body: decideDialectRequest, response: { 201: vehicleDialectResponse } },
    },
    (request, reply) => {
      const actor = actorOf(request);
      vehicles.decideDialect(actor, request.params.vehicleId, request.body);
      reply.code(201);
      return toVehicleDialect(vehicles.getDialect(actor, request.params.vehicleId));
    },
  );

  app.get(
    '/vehicles/:vehicleId/signal-map',
    {
      config: { access: 'own:vehicle:read' },
      schema: { params: vehicleParams, querystring: signalMapQuery, response: { 200: signalMapResponse } },
    },
    async (request) => respondMap(actorOf(request), request.params.vehicleId, request.query.format),
  );

  app.put(
    '/vehicles/:vehicleId/signal-map',
    {
      config: { access: 'own:vehicle:write' },
      schema: {
        params: vehicleParams,
        querystring: signalMapQuery,
        body: signalMap,
        response: { 200: signalMapResponse },
      },
    },
    (request) => {
      const actor = actorOf(request);
      const { format } = request.query;
      vehicles.setSignalMap(actor, request.params.vehicleId, format, request.body);
      return respondMap(actor, request.params.vehicleId, format);
    },
  );
}
