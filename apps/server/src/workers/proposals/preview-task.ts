import type { NewMoments, ProposalInputs } from '@syncline/store';

/** What a worker thread is told to try. */
export interface PreviewTask {
  /** Data folder, to be opened without any right to write. */
  readonly folder: string;
  readonly proposalId: string;
}

/** The same of a draft, on cars that are estimated from `inputs`. */
export interface DraftPreviewTask {
  readonly folder: string;
  readonly draftId: string;
  readonly inputs: ProposalInputs;
}

/** Counts of simulated shifts, with the revision as it is and with what is tried. */
export interface PreviewCounts {
  readonly shifts: number;
  readonly flareBefore: number;
  readonly flareAfter: number;
  readonly tieUpBefore: number;
  readonly tieUpAfter: number;
  readonly harshBefore: number;
  readonly harshAfter: number;
  readonly slowBefore: number;
  readonly slowAfter: number;
}

export type PreviewOutcome =
  | {
      readonly kind: 'preview';
      readonly cars: number;
      readonly total: PreviewCounts;
      /** In the order of the platform's shifts. */
      readonly byKind: readonly (PreviewCounts & { readonly shiftKind: string })[];
      /** Shifts at whose points the pressure is another one. */
      readonly changed: number;
      /** Shifts of the sample that the simulator could not make, or had no time for. */
      readonly leftOut: number;
    }
  | { readonly kind: 'impossible'; readonly reason: string };

export interface DraftPreviewOutcome {
  readonly outcome: PreviewOutcome;
  /** Of the content that was tried. */
  readonly contentHash: string;
  readonly baseRevisionId: string;
  /** That were not kept yet. */
  readonly moments: readonly NewMoments[];
}
