import type { Job, NewJob, RunMember, RunReason } from '@syncline/store';

export const ANALYSE_LOG = 'analyseLog';
/** A log read anew from its original, for an analysis run. */
export const REREAD_LOG = 'rereadLog';
/** The stored measures of a log graded anew, for an analysis run. */
export const REGRADE_LOG = 'regradeLog';

/** A look of the rollout monitor at a release. */
export const WATCH_RELEASE = 'watchRelease';

/** The newest capture of every car of a platform held against what is known of its dialects now. */
export const RECHECK_CAPTURES = 'recheckCaptures';

export const MAKE_PROPOSAL = 'makeProposal';
export const PREVIEW_PROPOSAL = 'previewProposal';
export const PREVIEW_DRAFT = 'previewDraft';

/** Decoding and analysis of one log. There is one such job for each log, so that no log is worked on twice at once. */
export function analysisJob(logId: string, ownerId: string): NewJob {
  return { kind: ANALYSE_LOG, inputKey: logId, logId, testerId: ownerId };
}

/** The same for a log that has a result already: after everything that is fresh. */
export function backgroundAnalysisJob(logId: string, ownerId: string): NewJob {
  return { ...analysisJob(logId, ownerId), isBackground: true };
}

export function regradeJob(runId: string, logId: string): NewJob {
  return { ...runJob(runId, logId), kind: REGRADE_LOG };
}

/**
 * What a run does with a log: reads it anew where its result is older than the run's analysis or everything was asked
 * for, else grades it anew. One whose original was removed is graded anew. A file that could not be read is nothing to a run that is only about grades.
 */
export function runMemberJob(
  run: { readonly reason: RunReason; readonly analysisVersion: number },
  runId: string,
  { logId, analysisVersion, hasOriginal }: RunMember,
): NewJob | null {
  if (analysisVersion === null && (run.reason === 'policy' || !hasOriginal)) return null;
  if (!hasOriginal) return regradeJob(runId, logId);
  const isReread = run.reason === 'asked' || analysisVersion === null || analysisVersion < run.analysisVersion;
  return isReread ? { ...runJob(runId, logId), kind: REREAD_LOG } : regradeJob(runId, logId);
}

/** The run and the log that a job of a run is about. */
export function subjectOfRunJob({ inputKey }: Job): { readonly runId: string; readonly logId: string } {
  const [runId = '', logId = ''] = inputKey.split('/');
  return { runId, logId };
}

function runJob(runId: string, logId: string): Omit<NewJob, 'kind'> {
  return { inputKey: `${runId}/${logId}`, runId, isBackground: true };
}

/** New checks after a dialect of the platform got another profile. */
export function recheckJob(platformId: string, dialectId: string, version: number): NewJob {
  return { kind: RECHECK_CAPTURES, inputKey: `${platformId}/${dialectId}/${version}` };
}

/** The platform whose captures a job checks again. */
export function platformOfRecheckJob({ inputKey }: Job): string {
  return inputKey.slice(0, inputKey.indexOf('/'));
}

/** One proposal made from its inputs; those that nobody waits for come last. */
export function proposalJob(proposalId: string, isBackground: boolean): NewJob {
  return { kind: MAKE_PROPOSAL, inputKey: proposalId, isBackground };
}

/** A proposal tried on simulated cars. */
export function previewJob(proposalId: string): NewJob {
  return { kind: PREVIEW_PROPOSAL, inputKey: proposalId };
}

/** A draft, as it stands when the job begins, tried on simulated cars. */
export function draftPreviewJob(draftId: string): NewJob {
  return { kind: PREVIEW_DRAFT, inputKey: draftId };
}
