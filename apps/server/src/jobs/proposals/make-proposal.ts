import { MessageChannel } from 'node:worker_threads';
import type { Store } from '@syncline/store';
import type { ProposalService } from '../../services/proposals/proposals.js';
import type { JobHandler } from '../job-runner.js';
import type { WorkerPool } from '../worker-pool.js';

/**
 * Makes a proposal on a worker thread. Done twice it leaves the same: it depends on its inputs alone. When drives came in
 * since it was asked for, another one with the evidence of now takes its place.
 */
export function createMakeProposal(store: Store, pool: WorkerPool, renew: ProposalService['renew']): JobHandler {
  return async ({ job, lease, signal, report }) => {
    const proposalId = job.inputKey;
    const detail = store.read.proposals.find(proposalId);
    if (!detail) throw new Error(`job ${job.id} is about no proposal`);
    if (detail.state === 'ready') {
      store.jobs.complete(lease);
      return;
    }
    const { port1, port2 } = new MessageChannel();
    port1.on('message', (share: number) => report(share));
    try {
      const { folder } = store.status();
      const outcome = await pool.makeProposal({ folder, proposalId, port: port2 }, signal);
      signal.throwIfAborted();
      if (outcome.kind === 'ready') store.proposals.complete({ lease, proposalId, ...outcome });
      else if (outcome.kind === 'failed') store.proposals.fail({ lease, proposalId, ...outcome });
      else {
        store.transaction(() => {
          const problem = 'Drives came in while it waited; another proposal with them was begun.';
          store.proposals.fail({ lease, proposalId, moments: outcome.moments, problem });
          renew(detail);
        });
      }
    } finally {
      port1.close();
    }
  };
}
