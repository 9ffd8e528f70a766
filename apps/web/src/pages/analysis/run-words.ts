import type { AnalysisRun, CandidateLog } from '@syncline/contract';
import { formatCount } from '../../format/quantity.js';

export const RUN_STATE_WORDS: Record<AnalysisRun['state'], string> = {
  collecting: 'collecting',
  ready: 'ready to switch',
  switched: 'switched to',
  discarded: 'discarded',
};

export const OUTCOME_WORDS: Record<CandidateLog['outcome'], string> = {
  analysed: 'read again',
  regraded: 'graded again',
  failed: 'could not be read again',
};

/** What a run does, and why it was begun. */
export function runTitle({ reason, analysisVersion, policyVersion }: AnalysisRun): string {
  switch (reason) {
    case 'analysis':
      return `Every log read by analysis version ${analysisVersion}`;
    case 'policy':
      return `Every shift graded by policy ${policyVersion}`;
    case 'asked':
      return 'Every log read again from its original';
    default:
      return reason satisfies never;
  }
}

/** How far a run is: “12 of 140 logs, 1 gave up”. */
export function progressWords({ progress }: AnalysisRun): string {
  if (progress === null) return '–';
  const stuck = progress.stuck === 0 ? '' : `, ${formatCount(progress.stuck)} gave up and wait for the next start`;
  return `${formatCount(progress.done)} of ${formatCount(progress.total)} logs${stuck}`;
}
