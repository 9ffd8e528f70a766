import {
  commandedMapQuery,
  commandedMapResponse,
  commandedPointQuery,
  commandedPointResponse,
  createDraftRequest,
  draftLockRequest,
  draftResponse,
  draftSavesResponse,
  draftSummary,
  draftsResponse,
  makeRevisionRequest,
  renameDraftRequest,
  restoreDraftRequest,
  revisionResponse,
  saveDraftRequest,
  saveDraftResponse,
} from '@syncline/contract';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import type { CalibrationService } from '../../services/calibrations.js';
import type { CommandedService } from '../../services/commanded.js';
import { draftReference } from '../../services/contents.js';
import type { DraftService } from '../../services/drafts.js';
import type { App } from '../app.js';
import { toRevisionResponse } from '../calibrations/to-revision.js';
import { toDraftResponse, toDraftSaves, toDraftSummary, toSaveDraftResponse } from './to-draft.js';

interface DraftRoutesOptions {
  readonly calibrations: CalibrationService;
  readonly commanded: CommandedService;
  readonly drafts: DraftService;
}

/** Room for the largest content that a layout can have, as JSON. */
export const MAX_CONTENT_BYTES = 16 * 1024 ** 2;

const calibrationParams = z.object({ calibrationId: z.string() });
const params = z.object({ draftId: z.string() });
const read = { access: 'calibration:read' } as const;
const write = { access: 'calibration:write' } as const;

/** Drafts: begun, edited by one person at a time, made into a revision or discarded. */
export function addDraftRoutes(app: App, { calibrations, commanded, drafts }: DraftRoutesOptions): void {
  app.get(
    '/calibrations/:calibrationId/drafts',
    { config: read, schema: { params: calibrationParams, response: { 200: draftsResponse } } },
    async (request) => ({ items: drafts.listOpen(request.params.calibrationId).map(toDraftSummary) }),
  );

  app.post(
    '/calibrations/:calibrationId/drafts',
    {
      config: write,
      schema: { params: calibrationParams, body: createDraftRequest, response: { 201: draftResponse } },
    },
    (request, reply) => {
      reply.code(201);
      return toDraftResponse(drafts.create(actorOf(request), request.params.calibrationId, request.body));
    },
  );

  app.get('/drafts/:draftId', { config: read, schema: { params, response: { 200: draftResponse } } }, async (request) =>
    toDraftResponse(drafts.open(request.params.draftId)),
  );

  app.put(
    '/drafts/:draftId/content',
    {
      config: write,
      schema: { params, body: saveDraftRequest, response: { 200: saveDraftResponse } },
      bodyLimit: MAX_CONTENT_BYTES,
    },
    (request) => toSaveDraftResponse(drafts.save(actorOf(request), request.params.draftId, request.body)),
  );

  app.post(
    '/drafts/:draftId/lock',
    { config: write, schema: { params, body: draftLockRequest, response: { 200: draftSummary } } },
    (request) => toDraftSummary(drafts.lock(actorOf(request), request.params.draftId, request.body.action)),
  );

  app.patch(
    '/drafts/:draftId',
    { config: write, schema: { params, body: renameDraftRequest, response: { 200: draftSummary } } },
    (request) => toDraftSummary(drafts.rename(actorOf(request), request.params.draftId, request.body)),
  );

  app.delete(
    '/drafts/:draftId',
    { config: write, schema: { params, response: { 204: z.undefined() } } },
    (request, reply) => {
      drafts.discard(actorOf(request), request.params.draftId);
      reply.code(204);
      return undefined;
    },
  );

  app.post(
    '/drafts/:draftId/reopen',
    { config: write, schema: { params, response: { 200: draftSummary } } },
    (request) => toDraftSummary(drafts.reopen(actorOf(request), request.params.draftId)),
  );

  app.get(
    '/drafts/:draftId/saves',
    { config: read, schema: { params, response: { 200: draftSavesResponse } } },
    async (request) => toDraftSaves(drafts.listSaves(request.params.draftId)),
  );

  app.post(
    '/drafts/:draftId/restore',
    { config: write, schema: { params, body: restoreDraftRequest, response: { 200: draftResponse } } },
    (request) => toDraftResponse(drafts.restore(actorOf(request), request.params.draftId, request.body)),
  );

  app.post(
    '/drafts/:draftId/revision',
    { config: write, schema: { params, body: makeRevisionRequest, response: { 201: revisionResponse } } },
    (request, reply) => {
      const revision = drafts.make(actorOf(request), request.params.draftId, request.body);
      const [outcome] = calibrations.outcomesOf([revision.summary.id]);
      reply.code(201);
      return toRevisionResponse(revision, revision.findings, outcome);
    },
  );

  app.get(
    '/drafts/:draftId/commanded',
    { config: read, schema: { params, querystring: commandedMapQuery, response: { 200: commandedMapResponse } } },
    async (request) => commanded.map(draftReference(request.params.draftId), request.query),
  );

  app.get(
    '/drafts/:draftId/commanded-point',
    { config: read, schema: { params, querystring: commandedPointQuery, response: { 200: commandedPointResponse } } },
    async (request) => commanded.point(draftReference(request.params.draftId), request.query),
  );
}
