import type { RevisionContent } from '@syncline/calibration';
import type { Actor } from '../actor.js';

/** What a draft came from. */
export type DraftOrigin = 'edit' | 'import' | 'merge' | 'revert' | 'migration' | 'proposal';

export interface DraftSummary {
  readonly id: string;
  readonly calibrationId: string;
  readonly calibrationTitle: string;
  readonly platformId: string;
  readonly layoutVersion: number;
  readonly title: string;
  readonly line: string;
  readonly origin: DraftOrigin;
  readonly originNote: string;
  readonly parentId: string | null;
  readonly parentNumber: number | null;
  readonly mergeParentId: string | null;
  readonly mergeParentNumber: number | null;
  readonly contentHash: string;
  /** Rises with every save. */
  readonly version: number;
  readonly state: 'open' | 'made' | 'discarded';
  /** The revision it was made into. */
  readonly revisionId: string | null;
  /** Who edits it now; null once the lease has run out. */
  readonly lock: DraftLock | null;
  readonly createdAtMs: number;
  readonly createdByName: string;
  readonly updatedAtMs: number;
  readonly updatedByName: string;
}

export interface DraftLock {
  readonly personId: string;
  readonly personName: string;
  readonly untilMs: number;
}

export interface DraftSave {
  readonly version: number;
  readonly savedAtMs: number;
  readonly byName: string;
  /** Cells and break points that differ from the save before. */
  readonly changedCells: number;
}

export interface DraftReads {
  /** The open ones, newest change first. */
  listOpen(calibrationId: string): readonly DraftSummary[];
  /** Closed ones too. */
  find(draftId: string): DraftSummary | undefined;
  /** `baseline`: what steps are measured against where that is not the parent's own content. */
  findContent(
    draftId: string,
  ): { readonly content: RevisionContent; readonly baseline: RevisionContent | null } | undefined;
  /** Newest first. */
  listSaves(draftId: string): readonly DraftSave[];
  findSavedContent(draftId: string, version: number): RevisionContent | undefined;
}

/**
 * Every write throws `not_found`, `draft_closed` for one that was made or discarded, and `draft_locked` while the lease of
 * somebody else runs; those that name a version throw `draft_outdated` when another save came between.
 */
export interface DraftWrites {
  /**
   * Begins a draft; returns its id. Throws `not_found` for calibration, layout or revisions, `parent_mismatch` for
   * revisions of another calibration, `not_newest` for a line that goes on elsewhere.
   */
  create(input: {
    readonly actor: Actor;
    readonly calibrationId: string;
    readonly title: string;
    /** That of the parent when absent. A new name begins a branch. */
    readonly line?: string;
    readonly origin: DraftOrigin;
    readonly originNote: string;
    readonly parentId: string | null;
    readonly mergeParentId?: string | null;
    readonly revertsId?: string | null;
    readonly layoutVersion: number;
    readonly canonicalJson: string;
    readonly baselineJson?: string | null;
    readonly changedCells: number;
  }): string;
  /** Keeps the content and renews the lease. The same content again adds no save. Not audited. Returns the version. */
  save(input: {
    readonly actor: Actor;
    readonly draftId: string;
    readonly version: number;
    readonly canonicalJson: string;
    readonly changedCells: number;
  }): number;
  /** Takes or renews the lease. With `isTakeOver` also from somebody else, which is audited. */
  lock(input: { readonly actor: Actor; readonly draftId: string; readonly isTakeOver: boolean }): void;
  /** Gives the lease back; nothing happens without one. */
  release(input: { readonly actor: Actor; readonly draftId: string }): void;
  /** Another line must be one that the parent may continue: throws `not_newest`. */
  rename(input: {
    readonly actor: Actor;
    readonly draftId: string;
    readonly title?: string;
    readonly line?: string;
  }): void;
  /** Saves the content of an earlier save anew. Throws `not_found` when it is not kept any more. */
  restore(input: {
    readonly actor: Actor;
    readonly draftId: string;
    readonly version: number;
    readonly from: number;
    readonly changedCells: number;
  }): number;
  /** Closes the draft; its content is kept. */
  discard(input: { readonly actor: Actor; readonly draftId: string }): void;
  /** Opens a discarded draft again; one that is open stays so. Throws `draft_closed` for one that was made. */
  reopen(input: { readonly actor: Actor; readonly draftId: string }): void;
  /**
   * Freezes the draft into a revision and closes it, in one transaction. Throws `draft_outdated` when its content is not
   * the one named, `not_newest` when its line went on meanwhile, `content_unchanged` when equal to its parent.
   */
  make(input: {
    readonly actor: Actor;
    readonly draftId: string;
    readonly contentHash: string;
    readonly message: string;
  }): string;
}
