import {
  CalibrationError,
  type ContentMerge,
  type Layout,
  type MergeChoice,
  mergeBase,
  mergeContents,
  resolveMerge,
} from '@syncline/calibration';
import type { RevisionSummary } from '@syncline/store';
import { problem } from '../problem-error.js';
import type { Actor } from './actor.js';
import type { CalibrationService } from './calibrations.js';
import type { DraftService, OpenedDraft } from './drafts.js';

export interface PlannedMerge {
  readonly ours: RevisionSummary;
  readonly theirs: RevisionSummary;
  /** Their nearest common ancestor. */
  readonly base: RevisionSummary;
  readonly layout: Layout;
  readonly merge: ContentMerge;
}

export type MergeService = ReturnType<typeof createMergeService>;

/** Lines brought together, and earlier content brought back. */
export function createMergeService(calibrations: CalibrationService, drafts: DraftService) {
  /** What merging would take from where, and what contradicts; nothing is stored. */
  function plan(calibrationId: string, oursId: string, theirsId: string): PlannedMerge {
    const { revisions } = calibrations.get(calibrationId);
    const [ours, theirs] = [oursId, theirsId].map((id) => {
      const revision = revisions.find((entry) => entry.id === id);
      if (!revision) throw impossible('One of the two is not a revision of this calibration.');
      return revision;
    });
    const baseId = mergeBase(revisions, oursId, theirsId);
    if (baseId === undefined) throw impossible(`r${ours.number} and r${theirs.number} have no common ancestor.`);
    if (baseId === theirsId) {
      throw impossible(`r${ours.number} was made from r${theirs.number}: there is nothing to bring in.`);
    }
    const [base, our, their] = [baseId, oursId, theirsId].map(calibrations.open);
    const versions = [base, our, their].map(({ summary }) => summary.layoutVersion);
    if (new Set(versions).size > 1) {
      throw impossible(
        `Their layouts differ: ${versions[1]} and ${versions[2]}, from ${versions[0]}. Migrate them to one layout first.`,
      );
    }
    const { layout, platform } = our;
    const merge = mergeContents(layout, platform, base.content, our.content, their.content);
    return { ours, theirs, base: base.summary, layout, merge };
  }

  return {
    plan,

    /** A draft after ours with theirs brought in. Every conflict must be settled. */
    create(
      actor: Actor,
      calibrationId: string,
      input: {
        readonly oursId: string;
        readonly theirsId: string;
        readonly choices: Readonly<Record<string, MergeChoice>>;
      },
    ): OpenedDraft {
      const { ours, theirs, base, merge } = plan(calibrationId, input.oursId, input.theirsId);
      return drafts.begin(actor, calibrationId, {
        title: `r${theirs.number} merged into ${ours.line}`,
        origin: 'merge',
        originNote: `r${theirs.number} (${theirs.line}) into r${ours.number} (${ours.line}), from r${base.number}`,
        parentId: ours.id,
        mergeParentId: theirs.id,
        content: settle(merge, input.choices),
      });
    },

    /** A draft that brings the content of an earlier revision back, after the newest one of its line. */
    revert(actor: Actor, revisionId: string, ontoId?: string): OpenedDraft {
      const { summary, content } = calibrations.open(revisionId);
      const { revisions } = calibrations.get(summary.calibrationId);
      const onto = revisions.findLast(({ id, line }) => (ontoId ? id === ontoId : line === summary.line));
      if (!onto) {
        throw problem('revision.parentMismatch', { detail: `r${summary.number} is of another calibration.` });
      }
      if (onto.contentHash === summary.contentHash) {
        throw problem('revision.unchanged', {
          detail: `r${onto.number} has the content of r${summary.number} already.`,
        });
      }
      return drafts.begin(actor, summary.calibrationId, {
        title: `Back to r${summary.number}`,
        origin: 'revert',
        originNote: `content of r${summary.number} after r${onto.number}`,
        parentId: onto.id,
        revertsId: summary.id,
        content,
      });
    },
  };
}

function settle(merge: ContentMerge, choices: Readonly<Record<string, MergeChoice>>) {
  try {
    return resolveMerge(merge, choices);
  } catch (error) {
    if (!(error instanceof CalibrationError)) throw error;
    const code = error.code === 'mergeUnresolved' ? 'merge.unsettled' : 'request.invalid';
    throw problem(code, { detail: error.message, cause: error });
  }
}

function impossible(detail: string) {
  return problem('merge.impossible', { detail });
}
