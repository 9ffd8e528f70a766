import type { RevisionContent } from '@syncline/calibration';
import type { Actor } from '../actor.js';
import type { Page, PageRequest } from '../page.js';

/** Enough of a revision to name it. */
export interface RevisionRef {
  readonly id: string;
  readonly calibrationTitle: string;
  readonly number: number;
}

export interface RevisionSummary extends RevisionRef {
  readonly calibrationId: string;
  readonly parentId: string | null;
  readonly parentNumber: number | null;
  /** Second parent, where two lines were merged. */
  readonly mergeParentId: string | null;
  /** The earlier revision that it brought back. */
  readonly revertsId: string | null;
  /** Name of its line within the calibration. */
  readonly line: string;
  /** Of its content: the newest review within the calibration that was not withdrawn. */
  readonly reviewState: 'none' | 'open' | 'approved' | 'sentBack';
  readonly authorName: string;
  readonly message: string;
  readonly contentHash: string;
  readonly createdAtMs: number;
  readonly platformId: string;
  readonly layoutVersion: number;
  /** Vehicles that run it now. */
  readonly vehicleCount: number;
  readonly logCount: number;
  readonly shiftCount: number;
}

export interface CalibrationSummary {
  readonly id: string;
  readonly title: string;
  readonly platformId: string;
  readonly platformTitle: string;
  readonly revisionCount: number;
  readonly newestRevisionNumber: number | null;
  /** Vehicles that run one of its revisions now. */
  readonly vehicleCount: number;
  readonly createdAtMs: number;
}

export interface CalibrationDetail extends CalibrationSummary {
  readonly note: string;
  /** In rising number. */
  readonly revisions: readonly RevisionSummary[];
  /** Who runs what now. */
  readonly installations: readonly {
    readonly vehicleId: string;
    readonly vehicleTitle: string;
    readonly revisionId: string;
    readonly revisionNumber: number;
    readonly sinceAtMs: number;
  }[];
}

export interface CalibrationReads {
  /** Newest first. */
  list(page: PageRequest): Page<CalibrationSummary>;
  find(calibrationId: string): CalibrationDetail | undefined;
  findRevision(revisionId: string): RevisionSummary | undefined;
  /** The exact canonical JSON text whose SHA-256 is `contentHash`. */
  findContentText(revisionId: string): { readonly contentHash: string; readonly canonicalJson: string } | undefined;
  findContent(revisionId: string): RevisionContent | undefined;
}

export interface CalibrationWrites {
  /** Throws `not_found` for the platform. Returns the id. */
  create(input: {
    readonly actor: Actor;
    readonly title: string;
    readonly platformId: string;
    readonly note: string;
  }): string;
  /**
   * `canonicalJson` is the content in canonical form; its hash is taken here. Throws `not_found` for calibration,
   * layout or parent, `parent_mismatch` for a parent of another calibration, `content_unchanged` when equal to it.
   * `line` is that of the parent when absent; unlike a draft, this may continue a line from any revision.
   */
  createRevision(input: {
    readonly actor: Actor;
    readonly calibrationId: string;
    readonly line?: string;
    readonly parentId: string | null;
    readonly message: string;
    readonly layoutVersion: number;
    readonly canonicalJson: string;
  }): string;
}
