/** What a worker thread is told to try. */
export interface PreviewTask {
  /** Data folder, to be opened without any right to write. */
  readonly folder: string;
  readonly proposalId: string;
}

/** Counts of simulated shifts, with the revision as it is and with the proposal. */
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
      /** Shifts of the sample that the simulator could not make, or had no time for. */
      readonly leftOut: number;
    }
  | { readonly kind: 'impossible'; readonly reason: string };
