import { z } from 'zod';
import { SIGN_IN_PROBLEMS } from './sign-in-problems.js';

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
  ...SIGN_IN_PROBLEMS,
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
  'revision.notNewest': {
    status: 409,
    title: 'The line goes on from another revision',
    remedy: 'Begin from the newest revision of the line, or give a new line a name to branch off.',
  },
  'draft.locked': {
    status: 409,
    title: 'Somebody else is editing this draft',
    remedy: 'Wait until they are done, or take it over.',
  },
  'draft.outdated': {
    status: 409,
    title: 'The draft was saved by somebody else meanwhile',
    remedy: 'Load it again and repeat your change.',
  },
  'draft.closed': {
    status: 409,
    title: 'This draft has been made into a revision or discarded',
    remedy: 'Begin a new draft from the revision.',
  },
  'merge.unsettled': {
    status: 422,
    title: 'Not every conflict is settled',
    remedy: 'Choose a side for each conflict named in the detail.',
  },
  'merge.impossible': {
    status: 422,
    title: 'These revisions cannot be merged',
    remedy: 'Choose two revisions of one calibration and layout with a common ancestor.',
  },
  'migration.impossible': {
    status: 422,
    title: 'The content cannot be moved to that layout',
    remedy: 'See the steps of the migration: each that blocks says why.',
  },
  'import.refused': {
    status: 422,
    title: 'The file was not imported',
    remedy: 'Mend each place named in `importProblems`; nothing was stored.',
  },
  'export.impossible': {
    status: 422,
    title: 'This revision cannot be written in that format',
    remedy: 'See the detail; an image needs an image map in the layout.',
  },
  'replay.impossible': {
    status: 422,
    title: 'The schedule cannot be driven over this drive',
    remedy: 'Choose a drive of this platform that was logged with pedal, output speed, gear and program.',
  },
  'review.notAllowed': {
    status: 403,
    title: 'Whoever made a revision cannot decide on it',
    remedy: 'Ask another reviewer.',
  },
  'review.open': {
    status: 409,
    title: 'A review of this revision is open already',
    remedy: 'Wait for its decision, or withdraw it first.',
  },
  'review.otherContent': {
    status: 409,
    title: 'The decision names other content than the review',
    remedy: 'Load the review again and read what is there now.',
  },
  'review.closed': { status: 409, title: 'This review is decided already', remedy: 'Request a new review.' },
  'review.reasonMissing': {
    status: 422,
    title: 'Sending back needs a reason',
    remedy: 'Say what is to be changed.',
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
    remedy: 'Upload a bus capture of the car, or have a maintainer decide with a reason on the page of the vehicle.',
  },
  'busSignals.invalid': {
    status: 422,
    title: 'The bus signal list cannot be read with',
    remedy: 'Mend each entry named in `findings`.',
  },
  'busSignals.missing': {
    status: 409,
    title: 'There is no bus signal list to read this capture with',
    remedy: 'A maintainer enters it on the page of the platform; the capture is then read by itself.',
  },
  'dialectProfile.invalid': {
    status: 422,
    title: 'The dialect profile contradicts itself',
    remedy: 'Mend each entry named in `findings`.',
  },
  'dialect.captureUnfit': {
    status: 422,
    title: 'A dialect cannot be learned from these captures',
    remedy: 'Choose captures of cars of this platform that are confirmed to speak the dialect.',
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
    remedy: 'Mend what the detail names, then upload the file again.',
  },
  'log.originalRemoved': {
    status: 410,
    title: 'The original file of this drive was removed',
    remedy: 'What was found in it stays; it cannot be downloaded or analysed anew.',
  },
  'log.notReady': {
    status: 409,
    title: 'The log has not been analysed yet',
    remedy: 'Wait until its state is `ready`.',
  },
  'note.notYours': {
    status: 403,
    title: 'Somebody else wrote this note',
    remedy: 'Write one of your own beside it.',
  },
  'analysisRun.notReady': {
    status: 409,
    title: 'Not every log has its new result yet',
    remedy: 'Wait until the run is ready; logs that gave up are tried again when the server starts.',
  },
  'analysisRun.ended': {
    status: 409,
    title: 'This run was switched to or discarded already',
    remedy: 'Begin a new run.',
  },
  'log.noTiming': {
    status: 422,
    title: 'The log is sampled too slowly to time a shift',
    remedy: 'Log at 10 Hz or faster.',
  },
  'upload.protocol': {
    status: 412,
    title: 'The request does not speak tus 1.0.0',
    remedy: 'Send `Tus-Resumable: 1.0.0`; see https://tus.io/protocols/resumable-upload.',
  },
  'upload.offsetMismatch': {
    status: 409,
    title: 'The upload stands at another offset',
    remedy: 'Ask for its offset with HEAD and go on from there.',
  },
  'upload.inUse': {
    status: 423,
    title: 'Another request is writing to this upload',
    remedy: 'Wait a second, ask for its offset with HEAD and go on from there.',
  },
  'upload.expired': {
    status: 410,
    title: 'The upload stood still for too long and was given up',
    remedy: 'Begin the upload anew.',
  },
  'quota.exceeded': {
    status: 413,
    title: 'There is no room left for the drives of this person',
    remedy: 'Ask a maintainer for more room.',
  },
  'storage.full': {
    status: 507,
    title: 'The server is short of space',
    remedy: 'Try again later; the maintainer has been told.',
  },
  'storage.readOnly': {
    status: 503,
    title: 'The server cannot write to its disk',
    remedy: 'Tell the maintainer; what is stored can be read meanwhile.',
  },
  'server.fault': {
    status: 500,
    title: 'Something went wrong on our side',
    remedy: 'Try again; report the request id if it stays.',
  },
  'driveRequest.closed': {
    status: 409,
    title: 'This drive request is no longer open',
    remedy: 'Look at its state; send a new one where evidence is still missing.',
  },
  'driveRequest.unknownPoint': {
    status: 422,
    title: 'The platform has no such operating point',
    remedy: 'Choose a shift of the platform, and bands that /fleet/gaps names.',
  },
  'driveRequest.otherPlatform': {
    status: 422,
    title: 'A car or the revision is of another platform',
    remedy: 'Choose cars and a revision of the platform that is asked about.',
  },
  'release.notApproved': {
    status: 422,
    title: 'Exactly this content has to be approved before it is released',
    remedy: 'Ask for a review of the revision; its approval holds for its content hash alone.',
  },
  'release.stages': {
    status: 422,
    title: 'These stages cannot be gone through',
    remedy: 'Let each stage take more cars than the one before, and the last the whole cohort.',
  },
  'release.wrongState': {
    status: 409,
    title: 'This cannot be done to a release in this state',
    remedy: 'Load it again: it may have been moved meanwhile, by a person or by its monitor.',
  },
  'release.evidenceMissing': {
    status: 422,
    title: 'There is too little evidence to go on',
    remedy: 'Wait for the drives named in the detail.',
  },
  'release.reasonMissing': {
    status: 422,
    title: 'This needs a reason',
    remedy: 'Say why: the people of the cars read it.',
  },
  'offer.refused': {
    status: 409,
    title: 'This may not go into this car',
    remedy: 'See each reason in `findings`; the page of the car says what would clear it.',
  },
  'offer.otherContent': {
    status: 409,
    title: 'The answer names other content than what is offered',
    remedy: 'Load the offer again and compare the content hash with that of the file.',
  },
  'hook.forbidden': {
    status: 422,
    title: 'This address may not be told',
    remedy: 'Choose an http or https address that everybody can reach, without name and password in it.',
  },
  'proposal.noEvidence': {
    status: 422,
    title: 'Nobody drove this revision yet',
    remedy: 'Choose a revision that logs were driven under.',
  },
  'proposal.subjectUnknown': {
    status: 422,
    title: 'The layout has no such quantity to correct',
    remedy: 'Choose one that the list of proposals names for this revision.',
  },
  'proposal.notReady': {
    status: 409,
    title: 'The proposal is not made',
    remedy: 'Wait until it is, or read why nothing could be proposed.',
  },
  'proposal.nothingToTake': {
    status: 422,
    title: 'None of the nodes named would change',
    remedy: 'Name nodes that the proposal raises or lowers.',
  },
  'proposal.rejected': {
    status: 409,
    title: 'The proposal was rejected',
    remedy: 'Ask for a new one; new evidence makes another.',
  },
  'adaptation.unknownPlace': {
    status: 422,
    title: 'A learnt value names what the platform or the revision has not',
    remedy: 'Name clutches of the platform, or cells of a table of the revision that repeats per shift.',
  },
  'application.closed': {
    status: 409,
    title: 'This club takes no applications now',
    remedy: 'Come back later, or write to the club.',
  },
  'application.listFull': {
    status: 503,
    title: 'Too many applications wait for an answer',
    remedy: 'Come back in some days.',
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
  /** Where a file could not be imported. */
  importProblems: z
    .array(
      z.object({
        line: z.number().int().nullable(),
        address: z.number().int().nullable(),
        tableId: z.string().nullable(),
        variant: z.string().nullable(),
        message: z.string(),
      }),
    )
    .optional(),
});
export type Problem = z.infer<typeof problem>;
