import type { Store } from '@syncline/store';
import type { JobHandler } from '../job-runner.js';
import type { WorkerPool } from '../worker-pool.js';

/** Tries a proposal on simulated cars. Nothing is random in it, so that twice is the same. */
export function createPreviewProposal(store: Store, pool: WorkerPool): JobHandler {
  return async ({ job, lease, signal }) => {
    const proposalId = job.inputKey;
    const { folder } = store.status();
    const document = await pool.previewProposal({ folder, proposalId }, signal);
    signal.throwIfAborted();
    store.proposals.keepPreview({ lease, proposalId, document });
  };
}
