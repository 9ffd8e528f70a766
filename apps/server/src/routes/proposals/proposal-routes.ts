import {
  createProposalRequest,
  draftResponse,
  proposalNodesResponse,
  proposalOriginQuery,
  proposalOriginResponse,
  proposalResponse,
  proposalsResponse,
  rejectProposalRequest,
  takeProposalRequest,
} from '@syncline/contract';
import type { ProposalDetail } from '@syncline/store';
import { z } from 'zod';
import { actorOf } from '../../plugins/access.js';
import { type ProposalService, USUAL_POLICY } from '../../services/proposals/proposals.js';
import type { App } from '../app.js';
import { attachment } from '../csv.js';
import { toDraftResponse } from '../drafts/to-draft.js';
import { type ExportedProposal, proposalNodesCsv, toProposalNodes } from './proposal-nodes.js';
import { toProposalResponse, toProposalSummary } from './to-proposal.js';

const calibrationParams = z.object({ calibrationId: z.string() });
const params = z.object({ proposalId: z.string() });
const read = { access: 'evidence:read' } as const;
const write = { access: 'calibration:write' } as const;

/** Room for every node of a large layout named one by one. */
const MAX_TAKE_BYTES = 4 * 1024 ** 2;

function fileTitle({ proposal, subject }: ExportedProposal): string {
  return `proposal ${subject.title} r${proposal.base.number}`.replace(/[/\\:*?"<>|]/g, '_');
}

/** Proposals: asked for, read, tried on the bench, taken into a draft or rejected. */
export function addProposalRoutes(app: App, proposals: ProposalService): void {
  const respond = (detail: ProposalDetail) => toProposalResponse(proposals, detail);

  app.get(
    '/calibrations/:calibrationId/proposals',
    { config: read, schema: { params: calibrationParams, response: { 200: proposalsResponse } } },
    async ({ params: { calibrationId } }) => ({
      items: proposals.list(calibrationId).map((entry) => toProposalSummary(entry, proposals.subjectOf(entry))),
      subjects: proposals
        .subjects(calibrationId)
        .map(({ revisionId, subjects }) => ({ revisionId, subjects: [...subjects] })),
      defaultPolicy: USUAL_POLICY,
    }),
  );

  app.post(
    '/calibrations/:calibrationId/proposals',
    {
      config: write,
      schema: { params: calibrationParams, body: createProposalRequest, response: { 202: proposalResponse } },
    },
    (request, reply) => {
      reply.code(202);
      return respond(proposals.create(actorOf(request), request.params.calibrationId, request.body));
    },
  );

  app.get(
    '/proposals/:proposalId',
    { config: read, schema: { params, response: { 200: proposalResponse } } },
    async (request) => respond(proposals.get(request.params.proposalId)),
  );

  app.get(
    '/proposals/:proposalId/nodes',
    { config: read, schema: { params, response: { 200: proposalNodesResponse } } },
    async (request, reply) => {
      const exported = proposals.exported(request.params.proposalId);
      reply.header('content-disposition', attachment(`${fileTitle(exported)}.json`));
      return toProposalNodes(exported);
    },
  );

  app.get(
    '/proposals/:proposalId/nodes.csv',
    { config: read, schema: { params, produces: ['text/csv'] } },
    async (request, reply) => {
      const exported = proposals.exported(request.params.proposalId);
      return reply
        .type('text/csv; charset=utf-8')
        .header('content-disposition', attachment(`${fileTitle(exported)}.csv`))
        .send(proposalNodesCsv(exported));
    },
  );

  app.post(
    '/proposals/:proposalId/drafts',
    {
      config: write,
      schema: { params, body: takeProposalRequest, response: { 201: draftResponse } },
      bodyLimit: MAX_TAKE_BYTES,
    },
    (request, reply) => {
      reply.code(201);
      return toDraftResponse(proposals.take(actorOf(request), request.params.proposalId, request.body));
    },
  );

  app.post(
    '/proposals/:proposalId/rejection',
    { config: write, schema: { params, body: rejectProposalRequest, response: { 200: proposalResponse } } },
    (request) => respond(proposals.reject(actorOf(request), request.params.proposalId, request.body.reason)),
  );

  app.post(
    '/proposals/:proposalId/preview',
    { config: write, schema: { params, response: { 202: proposalResponse } } },
    (request, reply) => {
      reply.code(202);
      return respond(proposals.preview(request.params.proposalId));
    },
  );

  app.get(
    '/proposal-origin',
    { config: read, schema: { querystring: proposalOriginQuery, response: { 200: proposalOriginResponse } } },
    async ({ query: { draft, revision } }) => {
      const found = proposals.findOrigin(draft === undefined ? { revisionId: revision ?? '' } : { draftId: draft });
      return { proposal: found && toProposalSummary(found, proposals.subjectOf(found)) };
    },
  );
}
