import type { MessagePort } from 'node:worker_threads';
import type { NewMoments, ProposalResult, ProposalTally } from '@syncline/store';

/** What a worker thread is told to propose. */
export interface ProposalTask {
  /** Data folder, to be opened without any right to write. */
  readonly folder: string;
  readonly proposalId: string;
  /** Takes the share that is done, 0 to 1. */
  readonly port: MessagePort;
}

export type ProposalOutcome = { readonly moments: readonly NewMoments[] } & (
  | {
      readonly kind: 'ready';
      readonly result: ProposalResult;
      readonly resultHash: string;
      readonly tally: ProposalTally;
    }
  | { readonly kind: 'failed'; readonly problem: string }
  /** Evidence changed since the proposal was asked for. */
  | { readonly kind: 'outdated' }
);
