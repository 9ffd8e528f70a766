import type { ProposalInputs, Store } from '@syncline/store';
import { draftPreviewJob } from '../../jobs/job-kinds.js';
import { problem } from '../../problem-error.js';
import type { CalibrationService } from '../calibrations.js';
import type { DraftService } from '../drafts.js';
import type { ProposalService } from './proposals.js';

/** What a draft is held against: the cars, as the drives under a revision that it comes from show them. */
export interface PreviewBase {
  readonly revisionId: string;
  readonly number: number;
  readonly inputs: ProposalInputs;
}

export interface DraftPreview {
  /** Of what is kept, else of what would be tried; null where no revision that the draft comes from was driven. */
  readonly base: Omit<PreviewBase, 'inputs'> | null;
  readonly isRunning: boolean;
  readonly kept: ReturnType<Store['read']['proposals']['findDraftPreview']>;
}

export type DraftPreviewService = ReturnType<typeof createDraftPreviewService>;

/** Drafts tried on simulated cars, before they become a revision. */
export function createDraftPreviewService(
  { read, jobs }: Store,
  {
    calibrations,
    drafts,
    proposals,
    nudgeJobs,
  }: {
    readonly calibrations: CalibrationService;
    readonly drafts: DraftService;
    readonly proposals: ProposalService;
    readonly nudgeJobs: () => void;
  },
) {
  /** The nearest revision that a draft comes from and that cars have driven. */
  function baseOf(draftId: string): PreviewBase | undefined {
    const draft = read.drafts.find(draftId);
    let revisionId = draft?.state === 'open' ? draft.parentId : null;
    while (revisionId !== null) {
      const { id, number, parentId } = calibrations.open(revisionId).summary;
      if (read.proposals.evidence([id]).length > 0) {
        const inputs = proposals.usualInputs(calibrations.open(id));
        if (inputs) return { revisionId: id, number, inputs };
      }
      revisionId = parentId;
    }
    return undefined;
  }

  function get(draftId: string): DraftPreview {
    drafts.read(draftId);
    const kept = read.proposals.findDraftPreview(draftId);
    const tried = (kept?.document as { baseRevisionId?: string } | undefined)?.baseRevisionId;
    const revision = tried === undefined ? undefined : read.calibrations.findRevision(tried);
    const base = revision ? { revisionId: revision.id, number: revision.number } : baseOf(draftId);
    return {
      base: base ? { revisionId: base.revisionId, number: base.number } : null,
      isRunning: read.jobs.isLive(draftPreviewJob(draftId)),
      kept,
    };
  }

  return {
    get,
    baseOf,

    /** Has the draft tried as it was last saved. */
    request(draftId: string): DraftPreview {
      const { summary } = drafts.read(draftId);
      if (!baseOf(draftId)) {
        throw problem('proposal.noEvidence', {
          detail: `No revision that '${summary.title}' comes from was driven, so that nothing is known of the cars.`,
        });
      }
      jobs.enqueue(draftPreviewJob(draftId));
      nudgeJobs();
      return get(draftId);
    },
  };
}
