import {
  affectedQuery,
  affectedResponse,
  controlUnitResponse,
  controlUnitsResponse,
  createControlUnitRequest,
  recallUnitsRequest,
  reportFirmwareRequest,
  unitQueueResponse,
  unitRecall,
  unitRecallsResponse,
  unitWaitRequest,
  updateControlUnitRequest,
} from '@syncline/contract';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import type { ControlUnitService } from '../../services/control-units/control-units.js';
import type { App } from '../app.js';
import { toAffected, toUnit, toUnitRecall, toUnitResponse, toUnitWait } from './to-control-unit.js';

const unitParams = z.object({ unitId: z.string() });
const applicationParams = z.object({ applicationId: z.string() });
const write = { access: 'unit:write' } as const;

/** Control units: where each is, recalls of some of them, and who waits for one. */
export function addControlUnitRoutes(app: App, units: ControlUnitService): void {
  app.get(
    '/control-units',
    { config: { access: 'own:unit:read' }, schema: { response: { 200: controlUnitsResponse } } },
    async (request) => ({ items: units.list(actorOf(request)).map(toUnit) }),
  );

  app.post(
    '/control-units',
    { config: write, schema: { body: createControlUnitRequest, response: { 201: controlUnitResponse } } },
    (request, reply) => {
      reply.code(201);
      return toUnitResponse(units.enter(actorOf(request), request.body));
    },
  );

  app.get(
    '/control-units/affected',
    { config: { access: 'unit:read' }, schema: { querystring: affectedQuery, response: { 200: affectedResponse } } },
    async (request) => {
      const { hardware = null, firmware = null } = request.query;
      return { items: units.affected({ hardware, firmware }).map(toAffected) };
    },
  );

  app.get(
    '/control-units/recalls',
    { config: { access: 'unit:read' }, schema: { response: { 200: unitRecallsResponse } } },
    async () => ({ items: units.listRecalls().map(toUnitRecall) }),
  );

  app.post(
    '/control-units/recalls',
    { config: write, schema: { body: recallUnitsRequest, response: { 201: unitRecall } } },
    (request, reply) => {
      const { words, ...make } = request.body;
      reply.code(201);
      return toUnitRecall(units.recall(actorOf(request), make, words));
    },
  );

  app.get(
    '/control-units/queue',
    { config: { access: 'application:read' }, schema: { response: { 200: unitQueueResponse } } },
    async () => ({ items: units.queue().map(toUnitWait) }),
  );

  app.put(
    '/applications/:applicationId/unit-wait',
    {
      config: { access: 'application:write' },
      schema: { params: applicationParams, body: unitWaitRequest, response: { 200: unitQueueResponse } },
    },
    (request) => {
      units.setWait(actorOf(request), request.params.applicationId, request.body.waits);
      return { items: units.queue().map(toUnitWait) };
    },
  );

  app.get(
    '/control-units/:unitId',
    { config: { access: 'own:unit:read' }, schema: { params: unitParams, response: { 200: controlUnitResponse } } },
    async (request) => toUnitResponse(units.get(actorOf(request), request.params.unitId)),
  );

  app.patch(
    '/control-units/:unitId',
    {
      config: write,
      schema: { params: unitParams, body: updateControlUnitRequest, response: { 200: controlUnitResponse } },
    },
    (request) => toUnitResponse(units.update(actorOf(request), request.params.unitId, request.body)),
  );

  app.post(
    '/control-units/:unitId/firmware',
    {
      config: { access: 'own:unit:report' },
      schema: { params: unitParams, body: reportFirmwareRequest, response: { 200: controlUnitResponse } },
    },
    (request) => toUnitResponse(units.reportFirmware(actorOf(request), request.params.unitId, request.body)),
  );
}
