import {
  canonicalJson,
  checkContent,
  type Finding as DomainFinding,
  defaultContent,
  type FindingCode,
  type Layout,
  type Platform,
  type RevisionContent,
} from '@syncline/calibration';
import type { Finding } from '@syncline/contract';
import type { DraftOrigin, DraftSave, DraftSummary, Store } from '@syncline/store';
import { notFound, problem } from '../problem-error.js';
import type { Actor } from './actor.js';
import type { CalibrationService, OpenedRevision } from './calibrations.js';
import { countChangedCells } from './changed-cells.js';
import { isBlocked, toFindings } from './findings.js';

/** An open draft with all that is needed to read its tables. */
export interface ReadDraft {
  readonly summary: DraftSummary;
  readonly content: RevisionContent;
  readonly layout: Layout;
  readonly platform: Platform;
  /** What it is measured against, in its own layout; null for a beginning, or across layouts without a migration. */
  readonly parentContent: RevisionContent | null;
  readonly isUnchanged: boolean;
}

/** A draft with what is wrong with it. */
export interface OpenedDraft extends ReadDraft {
  readonly findings: Finding[];
}

/** A draft that begins with content of its own. */
export interface NewDraft {
  readonly title: string;
  readonly line?: string;
  readonly origin: DraftOrigin;
  readonly originNote: string;
  readonly parentId: string | null;
  readonly mergeParentId?: string;
  readonly revertsId?: string;
  readonly content: RevisionContent;
  /** The parent brought into the layout of the content, where it has another one. */
  readonly baseline?: RevisionContent;
}

/** Without these nothing can be shown or read off: such content is not kept. All else may stand in a draft. */
const SHAPE_FAULTS: ReadonlySet<FindingCode> = new Set<FindingCode>([
  'otherLayout',
  'tableMissing',
  'tableUnknown',
  'axisCount',
  'axisOrder',
  'breakpointCount',
  'variantMissing',
  'variantUnknown',
  'valueCount',
  'notANumber',
]);

export type DraftService = ReturnType<typeof createDraftService>;

/** Content on its way to a revision: edited by one person at a time, saved as often as it changes. */
export function createDraftService({ read, drafts }: Store, calibrations: CalibrationService) {
  function getOpen(draftId: string): DraftSummary {
    const summary = read.drafts.find(draftId);
    if (!summary) throw notFound('draft');
    if (summary.state === 'open') return summary;
    const made = summary.revisionId && read.calibrations.findRevision(summary.revisionId);
    throw problem('draft.closed', {
      detail: made
        ? `'${summary.title}' was made into r${made.number} by ${made.authorName}.`
        : `'${summary.title}' was discarded by ${summary.updatedByName}.`,
    });
  }

  function readOpen(draftId: string): ReadDraft {
    const summary = getOpen(draftId);
    const stored = read.drafts.findContent(draftId);
    if (!stored) throw notFound('draft');
    const { layout, platform } = calibrations.openLayout(summary.platformId, summary.layoutVersion);
    const parent = summary.parentId === null ? null : calibrations.open(summary.parentId);
    const parentContent =
      stored.baseline ?? (parent?.summary.layoutVersion === summary.layoutVersion ? parent.content : null);
    return {
      summary,
      content: stored.content,
      layout,
      platform,
      parentContent,
      isUnchanged: parent?.summary.contentHash === summary.contentHash,
    };
  }

  function open(draftId: string): OpenedDraft {
    const draft = readOpen(draftId);
    return { ...draft, findings: toFindings(check(draft, draft.content)) };
  }

  /** Keeps `content` as a new draft, unless it is not of the shape of its layout. */
  function begin(actor: Actor, calibrationId: string, draft: NewDraft): OpenedDraft {
    const { content, baseline, ...rest } = draft;
    const { platformId } = calibrations.get(calibrationId);
    const { layout, platform } = calibrations.openLayout(platformId, content.layoutVersion);
    assertShape(checkContent(layout, platform, content));
    const parent = draft.parentId === null ? undefined : read.calibrations.findContent(draft.parentId);
    const before = baseline ?? parent;
    const draftId = drafts.create({
      ...rest,
      actor,
      calibrationId,
      layoutVersion: content.layoutVersion,
      canonicalJson: canonicalJson(content),
      baselineJson: baseline ? canonicalJson(baseline) : null,
      changedCells: before ? countChangedCells(before, content) : 0,
    });
    return open(draftId);
  }

  return {
    open,
    read: readOpen,
    begin,

    listOpen(calibrationId: string): readonly DraftSummary[] {
      calibrations.get(calibrationId);
      return read.drafts.listOpen(calibrationId);
    },

    /** Begins a draft with the content of a revision, or with the defaults of a layout. */
    create(
      actor: Actor,
      calibrationId: string,
      input: {
        readonly title?: string;
        readonly parentId: string | null;
        readonly line?: string;
        readonly layoutVersion?: number;
      },
    ): OpenedDraft {
      const { parentId, line } = input;
      const start = { line, origin: 'edit', originNote: '', parentId } as const;
      if (parentId === null) {
        const { layout, platform } = calibrations.openNewestLayout(calibrationId, input.layoutVersion);
        const title = input.title ?? `From the defaults of layout ${layout.version}`;
        return begin(actor, calibrationId, { ...start, title, content: defaultContent(layout, platform) });
      }
      const { summary, content } = calibrations.open(parentId);
      if (input.layoutVersion !== undefined && input.layoutVersion !== summary.layoutVersion) {
        throw problem('request.invalid', {
          detail: `r${summary.number} has layout ${summary.layoutVersion}. To bring it to layout ${input.layoutVersion}, migrate it.`,
          fields: [{ path: 'body.layoutVersion', message: 'only without a parent' }],
        });
      }
      return begin(actor, calibrationId, { ...start, title: input.title ?? `From r${summary.number}`, content });
    },

    /** Keeps the content as it stands, with what is wrong with its values; one of another shape is refused. */
    save(
      actor: Actor,
      draftId: string,
      input: { readonly version: number; readonly content: RevisionContent },
    ): OpenedDraft {
      const before = readOpen(draftId);
      const findings = check(before, input.content);
      assertShape(findings);
      drafts.save({
        actor,
        draftId,
        version: input.version,
        canonicalJson: canonicalJson(input.content),
        changedCells: countChangedCells(before.content, input.content),
      });
      return { ...readOpen(draftId), findings: toFindings(findings) };
    },

    lock(actor: Actor, draftId: string, action: 'take' | 'takeOver' | 'release'): DraftSummary {
      if (action === 'release') drafts.release({ actor, draftId });
      else drafts.lock({ actor, draftId, isTakeOver: action === 'takeOver' });
      return getOpen(draftId);
    },

    rename(actor: Actor, draftId: string, names: { readonly title?: string; readonly line?: string }): DraftSummary {
      drafts.rename({ actor, draftId, ...names });
      return getOpen(draftId);
    },

    discard: (actor: Actor, draftId: string): void => drafts.discard({ actor, draftId }),

    reopen(actor: Actor, draftId: string): DraftSummary {
      drafts.reopen({ actor, draftId });
      return getOpen(draftId);
    },

    listSaves(draftId: string): readonly DraftSave[] {
      getOpen(draftId);
      return read.drafts.listSaves(draftId);
    },

    restore(actor: Actor, draftId: string, input: { readonly version: number; readonly from: number }): OpenedDraft {
      const { content } = readOpen(draftId);
      const saved = read.drafts.findSavedContent(draftId, input.from);
      if (!saved) throw notFound('save of this draft');
      drafts.restore({ actor, draftId, ...input, changedCells: countChangedCells(content, saved) });
      return open(draftId);
    },

    /** Freezes the draft into a revision, unless a blocking finding stands against it. */
    make(
      actor: Actor,
      draftId: string,
      input: { readonly message: string; readonly contentHash: string },
    ): OpenedRevision & { readonly findings: Finding[] } {
      const { summary, findings } = open(draftId);
      // Findings of other content than the one meant would mislead; that it is outdated is the store's to say.
      if (summary.contentHash === input.contentHash && isBlocked(findings)) {
        throw problem('revision.blocked', { findings });
      }
      return { ...calibrations.open(drafts.make({ actor, draftId, ...input })), findings };
    },
  };
}

function check({ layout, platform, parentContent }: ReadDraft, content: RevisionContent): DomainFinding[] {
  return checkContent(layout, platform, content, parentContent ?? undefined);
}

function assertShape(findings: readonly DomainFinding[]): void {
  const faults = findings.filter(({ code }) => SHAPE_FAULTS.has(code));
  if (faults.length > 0) throw problem('revision.blocked', { findings: toFindings(faults) });
}
