import {
  cohortQuery,
  cohortResponse,
  createReleaseRequest,
  releaseActRequest,
  releaseListQuery,
  releaseLooksResponse,
  releasePage,
  releaseResponse,
} from '@syncline/contract';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import type { ReleaseService } from '../../services/releases/releases.js';
import type { App } from '../app.js';
import { toPage } from '../format.js';
import { toCohort, toLooks, toReleaseResponse, toReleaseSummary } from './to-release.js';

const releaseParams = z.object({ releaseId: z.string() });
const read = { access: 'release:read' } as const;

/** Releases: what is on its way to which cars, and how it goes. */
export function addReleaseRoutes(app: App, releases: ReleaseService): void {
  const respond = (releaseId: string) => toReleaseResponse(releases.detail(releaseId), releases);

  app.get(
    '/releases',
    { config: read, schema: { querystring: releaseListQuery, response: { 200: releasePage } } },
    async (request) => {
      const { platform: platformId, state, ...page } = request.query;
      return toPage(releases.list({ platformId, state }, page), toReleaseSummary);
    },
  );

  app.post(
    '/releases',
    {
      config: { access: 'release:write' },
      schema: { body: createReleaseRequest, response: { 201: releaseResponse } },
    },
    (request, reply) => {
      reply.code(201);
      return respond(releases.draft(actorOf(request), request.body));
    },
  );

  app.get(
    '/releases/cohort',
    { config: read, schema: { querystring: cohortQuery, response: { 200: cohortResponse } } },
    async (request) => {
      const { revision, ...cohort } = request.query;
      return toCohort(releases.preview(revision, cohort));
    },
  );

  app.get(
    '/releases/:releaseId',
    { config: read, schema: { params: releaseParams, response: { 200: releaseResponse } } },
    async (request) => respond(request.params.releaseId),
  );

  app.get(
    '/releases/:releaseId/looks',
    { config: read, schema: { params: releaseParams, response: { 200: releaseLooksResponse } } },
    async (request) => toLooks(releases.looks(request.params.releaseId)),
  );

  app.post(
    '/releases/:releaseId/acts',
    {
      config: { access: 'release:write' },
      schema: { params: releaseParams, body: releaseActRequest, response: { 200: releaseResponse } },
    },
    (request) => {
      const { act, reason } = request.body;
      releases.act(actorOf(request), request.params.releaseId, act, reason);
      return respond(request.params.releaseId);
    },
  );
}
