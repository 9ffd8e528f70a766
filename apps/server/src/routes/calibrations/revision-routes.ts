import {
  commandedMapQuery,
  commandedMapResponse,
  commandedPointQuery,
  commandedPointResponse,
  evidenceQuery,
  evidenceResponse,
  revisionResponse,
  scheduleReplayQuery,
  scheduleReplayResponse,
} from '@syncline/contract';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import type { CalibrationService } from '../../services/calibrations.js';
import type { CommandedService } from '../../services/commanded.js';
import type { EvidenceService } from '../../services/evidence.js';
import type { ScheduleReplayService } from '../../services/schedule-replay.js';
import type { App } from '../app.js';
import { isKnownContent } from '../immutable.js';
import { toRevisionResponse } from './to-revision.js';

interface RevisionRoutesOptions {
  readonly calibrations: CalibrationService;
  readonly commanded: CommandedService;
  readonly evidence: EvidenceService;
  readonly scheduleReplay: ScheduleReplayService;
}

const access = 'calibration:read';
const revisionParams = z.object({ revisionId: z.string() });

/** Reading a revision: tables, evidence, and what it commands. */
export function addRevisionRoutes(app: App, services: RevisionRoutesOptions): void {
  const { calibrations, commanded, evidence, scheduleReplay } = services;

  app.get(
    '/revisions/:revisionId',
    { config: { access }, schema: { params: revisionParams, response: { 200: revisionResponse } } },
    async (request) => {
      const revision = calibrations.open(request.params.revisionId);
      const [outcome] = calibrations.outcomesOf([revision.summary.id]);
      return toRevisionResponse(revision, calibrations.findingsOf(revision), outcome);
    },
  );

  app.get(
    '/revisions/:revisionId/content',
    { config: { access }, schema: { params: revisionParams, produces: ['application/json'] } },
    async (request, reply) => {
      const { contentHash, canonicalJson } = calibrations.getContentText(request.params.revisionId);
      if (isKnownContent(request, reply, contentHash)) return reply.code(304).send();
      // The very bytes that were hashed: not parsed, not written anew.
      return reply.type('application/json; charset=utf-8').serializer(String).send(canonicalJson);
    },
  );

  app.get(
    '/revisions/:revisionId/evidence',
    {
      config: { access },
      schema: { params: revisionParams, querystring: evidenceQuery, response: { 200: evidenceResponse } },
    },
    async (request) => {
      const { table, variant } = request.query;
      return { tableId: table, variant, cells: evidence.ofTable(request.params.revisionId, table, variant) };
    },
  );

  app.get(
    '/revisions/:revisionId/commanded',
    {
      config: { access },
      schema: { params: revisionParams, querystring: commandedMapQuery, response: { 200: commandedMapResponse } },
    },
    async (request) => commanded.map(request.params.revisionId, request.query),
  );

  app.get(
    '/revisions/:revisionId/commanded-point',
    {
      config: { access },
      schema: { params: revisionParams, querystring: commandedPointQuery, response: { 200: commandedPointResponse } },
    },
    async (request) => commanded.point(request.params.revisionId, request.query),
  );

  app.get(
    '/revisions/:revisionId/schedule-replay',
    {
      config: { access: 'evidence:read' },
      schema: { params: revisionParams, querystring: scheduleReplayQuery, response: { 200: scheduleReplayResponse } },
    },
    async (request) => {
      const { log, schedule, against, program } = request.query;
      const query = { logId: log, scheduleId: schedule, againstId: against, program };
      return scheduleReplay.replay(actorOf(request), request.params.revisionId, query);
    },
  );
}
