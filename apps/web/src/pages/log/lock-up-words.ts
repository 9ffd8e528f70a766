import type { LockUpRow } from '@syncline/contract';

/** What became of a closing of the converter clutch. */
export const VERDICT_WORDS: Record<LockUpRow['verdict'], string> = {
  made: 'made',
  slow: 'made slowly',
  notMade: 'not made',
  lost: 'lost without a command',
  cut: 'cut by a gap or the end',
};
