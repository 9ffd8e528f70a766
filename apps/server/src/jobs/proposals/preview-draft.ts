import type { Store } from '@syncline/store';
import type { DraftPreviewService } from '../../services/proposals/draft-previews.js';
import type { JobHandler } from '../job-runner.js';
import type { WorkerPool } from '../worker-pool.js';

/** Tries a draft on simulated cars. Nothing is random in it: the same content and drives give the same. */
export function createPreviewDraft(store: Store, pool: WorkerPool, baseOf: DraftPreviewService['baseOf']): JobHandler {
  return async ({ job, lease, signal }) => {
    const draftId = job.inputKey;
    const base = baseOf(draftId);
    // Closed since, or its base lost its drives: nobody waits for it.
    if (!base) {
      store.jobs.complete(lease);
      return;
    }
    const { folder } = store.status();
    const found = await pool.previewDraft({ folder, draftId, inputs: base.inputs }, signal);
    signal.throwIfAborted();
    const { outcome, baseRevisionId, contentHash, moments } = found;
    store.proposals.keepDraftPreview({
      lease,
      draftId,
      contentHash,
      moments,
      document: { ...outcome, baseRevisionId },
    });
  };
}
