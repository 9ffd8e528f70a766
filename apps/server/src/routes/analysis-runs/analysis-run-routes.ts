import {
  analysisRun,
  analysisRunListQuery,
  analysisRunPage,
  analysisRunResponse,
  beginRunRequest,
  candidateResponse,
  discardRunRequest,
} from '@syncline/contract';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import type { ReanalysisService } from '../../services/reanalysis.js';
import type { App } from '../app.js';
import { toPage } from '../format.js';
import { toAnalysisRun, toAnalysisRunResponse, toCandidateResponse } from './to-analysis-run.js';

const access = 'log:reanalyse';
const runParams = z.object({ runId: z.string() });
const logParams = runParams.extend({ logId: z.string() });

/** Analysis runs: new results beside those that pages show, what they change, and the switch. For maintainers. */
export function addAnalysisRunRoutes(app: App, runs: ReanalysisService): void {
  app.get(
    '/analysis-runs',
    { config: { access }, schema: { querystring: analysisRunListQuery, response: { 200: analysisRunPage } } },
    async (request) => {
      const { platform, ...page } = request.query;
      return toPage(runs.list({ platformId: platform }, page), toAnalysisRun);
    },
  );

  app.post(
    '/analysis-runs',
    { config: { access }, schema: { body: beginRunRequest, response: { 201: analysisRun } } },
    (request, reply) => {
      const { platform, ...how } = request.body;
      reply.code(201);
      return toAnalysisRun(runs.begin(actorOf(request), platform, how));
    },
  );

  app.get(
    '/analysis-runs/:runId',
    { config: { access }, schema: { params: runParams, response: { 200: analysisRunResponse } } },
    async (request) => toAnalysisRunResponse(runs.get(request.params.runId)),
  );

  app.get(
    '/analysis-runs/:runId/logs/:logId',
    { config: { access }, schema: { params: logParams, response: { 200: candidateResponse } } },
    async (request) => {
      const { runId, logId } = request.params;
      return toCandidateResponse(runs.getLog(actorOf(request), runId, logId));
    },
  );

  app.post(
    '/analysis-runs/:runId/switch',
    { config: { access }, schema: { params: runParams, response: { 200: analysisRun } } },
    (request) => toAnalysisRun(runs.switchTo(actorOf(request), request.params.runId)),
  );

  app.post(
    '/analysis-runs/:runId/discard',
    { config: { access }, schema: { params: runParams, body: discardRunRequest, response: { 200: analysisRun } } },
    (request) => toAnalysisRun(runs.discard(actorOf(request), request.params.runId, request.body.note)),
  );
}
