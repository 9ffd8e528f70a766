import type { NewJob } from '@syncline/store';

export const ANALYSE_LOG = 'analyseLog';
export const REGRADE_PLATFORM = 'regradePlatform';

/** Decoding and analysis of one log. There is one such job for each log, so that no log is worked on twice at once. */
export function analysisJob(logId: string, ownerId: string): NewJob {
  return { kind: ANALYSE_LOG, inputKey: logId, logId, testerId: ownerId };
}

/** New grades for every shift of a platform under one version of its policy. */
export function regradeJob(platformId: string, policyVersion: number): NewJob {
  return { kind: REGRADE_PLATFORM, inputKey: `${platformId}/${policyVersion}` };
}

/** The platform that a regrading job is about. */
export function platformOfRegradeJob(inputKey: string): string {
  return inputKey.slice(0, inputKey.lastIndexOf('/'));
}
