import {
  calibrationPage,
  calibrationResponse,
  createCalibrationRequest,
  createRevisionRequest,
  pageQuery,
  revisionResponse,
} from '@syncline/contract';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import type { CalibrationService } from '../../services/calibrations.js';
import type { App } from '../app.js';
import { toPage } from '../format.js';
import { toCalibrationResponse, toCalibrationSummary, toRevisionResponse } from './to-revision.js';

const calibrationParams = z.object({ calibrationId: z.string() });

/** Calibrations and the making of their revisions. */
export function addCalibrationRoutes(app: App, calibrations: CalibrationService): void {
  const respond = (calibrationId: string) => {
    const detail = calibrations.get(calibrationId);
    return toCalibrationResponse(detail, calibrations.outcomesOf(detail.revisions.map((revision) => revision.id)));
  };

  app.get(
    '/calibrations',
    { config: { access: 'calibration:read' }, schema: { querystring: pageQuery, response: { 200: calibrationPage } } },
    async (request) => toPage(calibrations.list(request.query), toCalibrationSummary),
  );

  app.post(
    '/calibrations',
    {
      config: { access: 'calibration:write' },
      schema: { body: createCalibrationRequest, response: { 201: calibrationResponse } },
    },
    (request, reply) => {
      reply.code(201);
      return respond(calibrations.create(actorOf(request), request.body).id);
    },
  );

  app.get(
    '/calibrations/:calibrationId',
    {
      config: { access: 'calibration:read' },
      schema: { params: calibrationParams, response: { 200: calibrationResponse } },
    },
    async (request) => respond(request.params.calibrationId),
  );

  app.post(
    '/calibrations/:calibrationId/revisions',
    {
      config: { access: 'calibration:write' },
      schema: { params: calibrationParams, body: createRevisionRequest, response: { 201: revisionResponse } },
      bodyLimit: 8 * 1024 ** 2,
    },
    (request, reply) => {
      const revision = calibrations.createRevision(actorOf(request), request.params.calibrationId, request.body);
      const [outcome] = calibrations.outcomesOf([revision.summary.id]);
      reply.code(201);
      return toRevisionResponse(revision, revision.findings, outcome);
    },
  );
}
