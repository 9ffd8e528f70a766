import type { Actor } from '../actor.js';
import type { RevisionRef } from '../calibrations/calibrations.js';

export type ReviewDecision = 'approved' | 'sentBack' | 'withdrawn';

/** A review of the content of a revision. */
export interface Review {
  readonly id: string;
  readonly calibrationId: string;
  readonly revision: RevisionRef;
  readonly contentHash: string;
  readonly state: 'open' | ReviewDecision;
  readonly note: string;
  readonly requestedById: string | null;
  readonly requestedByName: string;
  readonly requestedAtMs: number;
  readonly decidedByName: string | null;
  readonly decidedAtMs: number | null;
  readonly reason: string | null;
}

export interface Comment {
  readonly id: string;
  readonly revisionId: string;
  readonly tableId: string | null;
  readonly variant: string | null;
  readonly cell: { readonly row: number; readonly column: number } | null;
  readonly text: string;
  readonly byId: string | null;
  readonly byName: string;
  readonly createdAtMs: number;
  readonly resolvedAtMs: number | null;
  readonly resolvedByName: string | null;
}

export interface ReviewReads {
  /** Newest first, at most `limit`. */
  list(filter: { readonly state?: Review['state']; readonly limit: number }): readonly Review[];
  /** Those of its content, which other revisions of the calibration may share. Newest first. */
  ofRevision(revisionId: string): readonly Review[];
  find(reviewId: string): Review | undefined;
  /** Persons who had a hand in this content, in any revision of the calibration. */
  handsIn(calibrationId: string, contentHash: string): ReadonlySet<string>;
  /** In the order they were written. */
  comments(revisionId: string): readonly Comment[];
  findComment(commentId: string): Comment | undefined;
}

export interface ReviewWrites {
  /** Returns the id. Throws `not_found`, or `review_open` when the revision has an open one. */
  request(input: { readonly actor: Actor; readonly revisionId: string; readonly note: string }): string;
  /**
   * Ends an open review for good. Who may is the caller's to know. Throws `not_found`, `review_closed` when it was ended
   * before, `review_other_content` when it is of other content than the one decided on.
   */
  decide(input: {
    readonly actor: Actor;
    readonly reviewId: string;
    readonly decision: ReviewDecision;
    readonly contentHash: string;
    readonly reason: string;
  }): void;
  /** Returns the id. Throws `not_found`. */
  addComment(input: {
    readonly actor: Actor;
    readonly revisionId: string;
    readonly tableId: string | null;
    readonly variant: string | null;
    readonly cell: { readonly row: number; readonly column: number } | null;
    readonly text: string;
  }): string;
  /** Marks a comment as settled, or as open again. */
  resolveComment(input: { readonly actor: Actor; readonly commentId: string; readonly isResolved: boolean }): void;
}
