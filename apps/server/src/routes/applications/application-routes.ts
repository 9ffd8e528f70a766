import {
  application,
  applicationForm,
  applicationListQuery,
  applicationPage,
  applicationReceived,
  createApplicationRequest,
  decideApplicationRequest,
  invitation,
  recruitmentRequest,
  recruitmentResponse,
} from '@syncline/contract';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import type { CountGuess } from '../../plugins/guess-limits.js';
import type { ApplicationService } from '../../services/applications/applications.js';
import type { RecruitmentService } from '../../services/applications/recruitment.js';
import type { App } from '../app.js';
import { toPage } from '../format.js';
import { toInvitation } from '../people/to-person.js';
import { toApplication, toApplicationForm, toRecruitment } from './to-application.js';

interface ApplicationRoutesOptions {
  readonly applications: ApplicationService;
  readonly recruitment: RecruitmentService;
  readonly limits: { readonly byAddress: CountGuess; readonly byApplicant: CountGuess };
}

const applicationParams = z.object({ applicationId: z.string() });
/** Every field at its longest, in four bytes a letter, fits (bytes). */
const MAX_BODY_BYTES = 16 * 1024;

/** Which cars the club lacks, the form for people outside it, and what they sent. */
export function addApplicationRoutes(app: App, options: ApplicationRoutesOptions): void {
  const { applications, recruitment, limits } = options;

  app.get(
    '/recruitment',
    { config: { access: 'application:read' }, schema: { response: { 200: recruitmentResponse } } },
    async () => toRecruitment(recruitment.view()),
  );

  app.put(
    '/recruitment',
    {
      config: { access: 'application:write' },
      schema: { body: recruitmentRequest, response: { 200: recruitmentResponse } },
    },
    (request) => {
      recruitment.change(actorOf(request), request.body);
      return toRecruitment(recruitment.view());
    },
  );

  app.get(
    '/application-form',
    {
      config: { access: 'public' },
      schema: { response: { 200: applicationForm } },
      preHandler: limits.byAddress,
    },
    async () => toApplicationForm(applications.form()),
  );

  app.post(
    '/applications',
    {
      config: { access: 'public' },
      bodyLimit: MAX_BODY_BYTES,
      schema: { body: createApplicationRequest, response: { 202: applicationReceived } },
      preHandler: limits.byApplicant,
    },
    async (request, reply) => {
      const { hasConsented: _agreed, ...content } = request.body;
      applications.receive(content, request.id);
      return reply.code(202).send({ isReceived: true });
    },
  );

  app.get(
    '/applications',
    {
      config: { access: 'application:read' },
      schema: { querystring: applicationListQuery, response: { 200: applicationPage } },
    },
    async (request) => {
      const { platform: platformId, state, ...page } = request.query;
      return toPage(applications.list({ platformId, state }, page), toApplication);
    },
  );

  app.post(
    '/applications/:applicationId/decision',
    {
      config: { access: 'application:write' },
      schema: { params: applicationParams, body: decideApplicationRequest, response: { 200: application } },
    },
    (request) => toApplication(applications.decide(actorOf(request), request.params.applicationId, request.body)),
  );

  app.post(
    '/applications/:applicationId/invitation',
    {
      // An answer that is kept for its repetition would keep the secret.
      config: { access: 'application:write', isRepeatable: true },
      schema: { params: applicationParams, response: { 201: invitation } },
    },
    (request, reply) => {
      const made = applications.invite(actorOf(request), request.params.applicationId);
      reply.code(201).header('cache-control', 'no-store');
      return toInvitation(made);
    },
  );

  app.delete(
    '/applications/:applicationId',
    {
      config: { access: 'application:write' },
      schema: { params: applicationParams, response: { 204: z.undefined() } },
    },
    (request, reply) => {
      applications.remove(actorOf(request), request.params.applicationId);
      reply.code(204);
    },
  );
}
