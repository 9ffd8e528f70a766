import { z } from 'zod';

/**
 * Every error that the API can answer: status, title, and what the caller can do. The code is stable; the detail of
 * a single answer names what was found, what was expected and where.
 */
export const PROBLEMS = {
  'request.invalid': {
    status: 400,
    title: 'The request does not have the expected form',
    remedy: 'Mend the field named in `fields`.',
  },
  'request.tooLarge': {
    status: 413,
    title: 'The body is larger than allowed',
    remedy: 'Send a smaller body; logs go to the upload route.',
  },
  'request.mediaType': {
    status: 415,
    title: 'The body has a media type that is not read here',
    remedy: 'Send the media type named in the detail.',
  },
  'request.tooMany': { status: 429, title: 'Too many requests', remedy: 'Wait as long as `Retry-After` says.' },
  'request.idempotencyMismatch': {
    status: 409,
    title: 'This Idempotency-Key was used for another request',
    remedy: 'Use a new key for a new request.',
  },
  'session.required': { status: 401, title: 'Sign-in is needed', remedy: 'Sign in, or send a bearer token.' },
  'session.badCredentials': {
    status: 401,
    title: 'E-mail address or password is wrong',
    remedy: 'Check both; after too many tries wait some minutes.',
  },
  'session.forbidden': { status: 403, title: 'Your role may not do this', remedy: 'Ask a maintainer.' },
  'session.badOrigin': {
    status: 403,
    title: 'The request came from another site',
    remedy: 'Use the pages of this server, or a bearer token.',
  },
  'setup.done': { status: 409, title: 'The first maintainer exists already', remedy: 'Sign in.' },
  'invitation.invalid': {
    status: 404,
    title: 'This invitation is unknown, used or expired',
    remedy: 'Ask the maintainer for a new link.',
  },
  'person.emailTaken': {
    status: 409,
    title: 'A person with this e-mail address exists',
    remedy: 'Use another address.',
  },
  'resource.notFound': {
    status: 404,
    title: 'There is no such thing, or you may not see it',
    remedy: 'Check the address.',
  },
  'resource.exists': { status: 409, title: 'A thing with this id exists already', remedy: 'Choose another id.' },
  'layout.invalid': { status: 422, title: 'The layout contradicts itself', remedy: 'Mend each finding.' },
  'platform.invalid': { status: 422, title: 'The platform contradicts itself', remedy: 'Mend each finding.' },
  'policy.invalid': { status: 422, title: 'The grading policy contradicts itself', remedy: 'Mend each finding.' },
  'revision.blocked': { status: 422, title: 'The content breaks the layout', remedy: 'Mend each blocking finding.' },
  'revision.parentMismatch': {
    status: 409,
    title: 'The parent belongs to another calibration',
    remedy: 'Choose a revision of this calibration.',
  },
  'revision.unchanged': {
    status: 409,
    title: 'The content equals its parent',
    remedy: 'Change a table before making a revision.',
  },
  'comparison.incompatible': {
    status: 422,
    title: 'These revisions cannot be compared',
    remedy: 'Choose two revisions of one platform.',
  },
  'vehicle.platformMismatch': {
    status: 422,
    title: 'The revision is for another gearbox',
    remedy: 'Choose a revision of the platform of this vehicle.',
  },
  'vehicle.dialectUnverified': {
    status: 422,
    title: 'The bus dialect of this vehicle is not confirmed',
    remedy: 'Have a maintainer confirm what the car speaks.',
  },
  'signalMap.invalid': {
    status: 422,
    title: 'The signal map does not fit',
    remedy: 'Mend each entry named in `findings`.',
  },
  'log.empty': { status: 422, title: 'The upload has no bytes', remedy: 'Choose the log file again.' },
  'log.hashMismatch': { status: 422, title: 'The bytes received differ from the stated hash', remedy: 'Upload again.' },
  'log.tooLarge': { status: 413, title: 'The log is larger than allowed', remedy: 'Split the recording.' },
  'log.unreadable': {
    status: 422,
    title: 'The log cannot be read',
    remedy: 'See the detail: it names what was seen and what is accepted.',
  },
  'log.notReady': {
    status: 409,
    title: 'The log has not been analysed yet',
    remedy: 'Wait until its state is `ready`.',
  },
  'log.noTiming': {
    status: 422,
    title: 'The log is sampled too slowly to time a shift',
    remedy: 'Log at 10 Hz or faster.',
  },
  'storage.full': {
    status: 507,
    title: 'The server is short of space',
    remedy: 'Try again later; the maintainer has been told.',
  },
  'server.fault': {
    status: 500,
    title: 'Something went wrong on our side',
    remedy: 'Try again; report the request id if it stays.',
  },
} as const;

export type ProblemCode = keyof typeof PROBLEMS;
const problemCode = z.enum(Object.keys(PROBLEMS) as [ProblemCode, ...ProblemCode[]]);

/** One finding about a document: where, what was found, what is allowed. */
export const finding = z.object({
  code: z.string(),
  severity: z.enum(['blocking', 'warning']),
  where: z.string(),
  message: z.string(),
  tableId: z.string().nullable(),
  variant: z.string().nullable(),
  cell: z.object({ row: z.number().int(), column: z.number().int() }).nullable(),
});
export type Finding = z.infer<typeof finding>;

/** Problem document of RFC 9457 with our members. */
export const problem = z.object({
  type: z.string(),
  code: problemCode,
  status: z.number().int(),
  title: z.string(),
  detail: z.string(),
  remedy: z.string(),
  requestId: z.string(),
  fields: z.array(z.object({ path: z.string(), message: z.string() })).optional(),
  findings: z.array(finding).optional(),
});
export type Problem = z.infer<typeof problem>;
