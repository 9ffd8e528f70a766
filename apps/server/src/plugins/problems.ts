import { PROBLEMS, type Problem, type ProblemCode } from '@syncline/contract';
import { StoreError, type StoreErrorCode } from '@syncline/store';
import type { FastifyError, FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { type ProblemDetails, ProblemError, problem } from '../problem-error.js';

/** Answers every error as a problem document (RFC 9457). What is not expected shows nothing but the request id. */
export function addProblems(app: FastifyInstance): void {
  app.setErrorHandler((error: FastifyError, request, reply) => {
    const refusal = toRefusal(error);
    if (refusal) return sendProblem(reply, request, refusal.code, refusal.details);
    request.log.error({ event: 'request.fault', err: error });
    return sendProblem(reply, request, 'server.fault', {
      detail: `The fault is recorded under request id ${request.id}.`,
    });
  });
}

/** Whoever was kept out stands in the log: many in a row are somebody who guesses. */
const KEPT_OUT = new Set([401, 403, 429]);

/** Sends the document of one problem. */
export function sendProblem(
  reply: FastifyReply,
  request: FastifyRequest,
  code: ProblemCode,
  details: ProblemDetails = {},
): FastifyReply {
  const { status, title, remedy } = PROBLEMS[code];
  const document: Problem = {
    type: `urn:syncline:problem:${code}`,
    code,
    status,
    title,
    detail: details.detail ?? title,
    remedy,
    requestId: request.id,
    ...(details.fields && { fields: [...details.fields] }),
    ...(details.findings && { findings: [...details.findings] }),
    ...(details.importProblems && { importProblems: [...details.importProblems] }),
  };
  if (KEPT_OUT.has(status)) request.log.warn({ event: 'request.keptOut', code, status, address: request.ip });
  if (details.retryAfterS !== undefined) reply.header('retry-after', Math.ceil(details.retryAfterS));
  // Sent as bytes: the response schema of the route is for its success.
  return reply
    .code(status)
    .header('x-request-id', request.id)
    .header('cache-control', 'no-store')
    .type('application/problem+json')
    .serializer((payload: unknown) => payload as string)
    .send(JSON.stringify(document));
}

/** What of the store's refusals a caller can act on; the others are faults of ours. */
const STORE_REFUSALS: Readonly<Partial<Record<StoreErrorCode, ProblemCode>>> = {
  not_found: 'resource.notFound',
  exists: 'resource.exists',
  email_taken: 'person.emailTaken',
  setup_done: 'setup.done',
  invitation_invalid: 'invitation.invalid',
  reset_invalid: 'reset.invalid',
  parent_mismatch: 'revision.parentMismatch',
  content_unchanged: 'revision.unchanged',
  not_newest: 'revision.notNewest',
  draft_closed: 'draft.closed',
  draft_locked: 'draft.locked',
  draft_outdated: 'draft.outdated',
  review_open: 'review.open',
  review_closed: 'review.closed',
  review_other_content: 'review.otherContent',
  run_not_ready: 'analysisRun.notReady',
  run_ended: 'analysisRun.ended',
  release_moved: 'release.wrongState',
  request_closed: 'driveRequest.closed',
  proposal_rejected: 'proposal.rejected',
  request_other_platform: 'driveRequest.otherPlatform',
  platform_mismatch: 'vehicle.platformMismatch',
  bad_cursor: 'request.invalid',
  blob_removed: 'log.originalRemoved',
  person_not_erasable: 'person.notErasable',
  units_held: 'person.unitsHeld',
  too_large: 'log.tooLarge',
  storage_full: 'storage.full',
  storage_read_only: 'storage.readOnly',
};

function toRefusal(error: FastifyError): ProblemError | undefined {
  if (error instanceof ProblemError) return error;
  if (error instanceof StoreError) {
    const code = STORE_REFUSALS[error.code];
    return code && problem(code, { detail: error.message, cause: error });
  }
  if (error.validation) {
    const fields = error.validation.map((issue) => ({
      path: [error.validationContext, ...pathOf(issue.instancePath)].join('.'),
      message: issue.message ?? 'is not as expected',
    }));
    return problem('request.invalid', {
      detail: fields.map((field) => `${field.path}: ${field.message}`).join('; '),
      fields,
    });
  }
  switch (error.code) {
    case 'SQLITE_FULL':
      return problem('storage.full', {
        detail: 'The disk of the database is full; nothing was changed.',
        cause: error,
      });
    case 'SQLITE_READONLY':
    case 'SQLITE_READONLY_DBMOVED':
    case 'SQLITE_READONLY_DIRECTORY':
      return problem('storage.readOnly', {
        detail: 'The database cannot be written; nothing was changed.',
        cause: error,
      });
    case 'FST_ERR_CTP_BODY_TOO_LARGE':
      return problem('request.tooLarge');
    case 'FST_ERR_CTP_INVALID_MEDIA_TYPE':
      return problem('request.mediaType', { detail: 'This route reads application/json.' });
    default:
      return error.statusCode === 400 ? problem('request.invalid', { detail: error.message }) : undefined;
  }
}

function pathOf(pointer: string): string[] {
  return pointer.split('/').filter((part) => part !== '');
}
