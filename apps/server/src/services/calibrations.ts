import { canonicalJson, checkContent, type Layout, type Platform, type RevisionContent } from '@syncline/calibration';
import type { Finding, RevisionOutcome } from '@syncline/contract';
import type { CalibrationDetail, CalibrationSummary, Page, PageRequest, RevisionSummary, Store } from '@syncline/store';
import { notFound, problem } from '../problem-error.js';
import type { Actor } from './actor.js';
import { ContentCache } from './content-cache.js';
import { isBlocked, toFindings } from './findings.js';
import { groupBy, outcomeOf } from './rates.js';

/** A revision with all that is needed to read its tables. */
export interface OpenedRevision {
  readonly summary: RevisionSummary;
  readonly content: RevisionContent;
  readonly layout: Layout;
  readonly platform: Platform;
}

export type CalibrationService = ReturnType<typeof createCalibrationService>;

/** Calibrations and the revisions that they are made of. */
export function createCalibrationService({ read, calibrations }: Store) {
  const contents = new ContentCache();

  function get(calibrationId: string): CalibrationDetail {
    const detail = read.calibrations.find(calibrationId);
    if (!detail) throw notFound('calibration');
    return detail;
  }

  function getSummary(revisionId: string): RevisionSummary {
    const summary = read.calibrations.findRevision(revisionId);
    if (!summary) throw notFound('revision');
    return summary;
  }

  function open(revisionId: string): OpenedRevision {
    const summary = getSummary(revisionId);
    const content = contents.get(summary.contentHash, () => read.calibrations.findContent(revisionId));
    if (!content) throw notFound('revision');
    return { summary, content, ...openLayout(summary.platformId, summary.layoutVersion) };
  }

  function openLayout(platformId: string, version: number): { readonly layout: Layout; readonly platform: Platform } {
    const platform = read.platforms.find(platformId)?.platform;
    const layout = read.platforms.findLayout(platformId, version);
    if (!platform || !layout) throw notFound('layout');
    return { layout, platform };
  }

  const checkAgainstParent = (
    { layout, platform, content }: Omit<OpenedRevision, 'summary'>,
    parentId: string | null,
  ) => {
    const parent = parentId === null ? undefined : read.calibrations.findContent(parentId);
    return toFindings(checkContent(layout, platform, content, parent));
  };

  return {
    get,
    getSummary,
    open,
    openLayout,

    /** The layout that a calibration without a parent begins with: the newest of its platform, or the one named. */
    openNewestLayout(
      calibrationId: string,
      version?: number,
    ): { readonly layout: Layout; readonly platform: Platform } {
      const { platformId } = get(calibrationId);
      const newest = read.platforms.find(platformId)?.layoutVersions.at(-1);
      return openLayout(platformId, version ?? newest ?? 1);
    },

    list: (page: PageRequest): Page<CalibrationSummary> => read.calibrations.list(page),

    create(actor: Actor, input: { readonly title: string; readonly platformId: string; readonly note: string }) {
      return get(calibrations.create({ actor, ...input }));
    },

    /** Outcome of each revision over every shift driven with it, in the order asked. */
    outcomesOf(revisionIds: readonly string[]): RevisionOutcome[] {
      const rows = groupBy(read.fleet.byRevision(revisionIds), (row) => row.revisionId);
      return revisionIds.map((id) => outcomeOf(rows.get(id) ?? []));
    },

    /** Makes an immutable revision, unless a blocking finding stands against the content. */
    createRevision(
      actor: Actor,
      calibrationId: string,
      input: {
        readonly parentId: string | null;
        readonly line?: string;
        readonly message: string;
        readonly content: RevisionContent;
      },
    ): OpenedRevision & { readonly findings: Finding[] } {
      const { platformId } = get(calibrationId);
      const { content } = input;
      if (content.platformId !== platformId) {
        throw problem('revision.blocked', {
          detail: `The content is for platform '${content.platformId}', the calibration for '${platformId}'.`,
        });
      }
      const findings = checkAgainstParent(
        { ...openLayout(platformId, content.layoutVersion), content },
        input.parentId,
      );
      if (isBlocked(findings)) throw problem('revision.blocked', { findings });
      const revisionId = calibrations.createRevision({
        actor,
        calibrationId,
        parentId: input.parentId,
        line: input.line,
        message: input.message,
        layoutVersion: content.layoutVersion,
        canonicalJson: canonicalJson(content),
      });
      return { ...open(revisionId), findings };
    },

    findingsOf: (revision: OpenedRevision): Finding[] => checkAgainstParent(revision, revision.summary.parentId),

    getContentText(revisionId: string): { readonly contentHash: string; readonly canonicalJson: string } {
      const text = read.calibrations.findContentText(revisionId);
      if (!text) throw notFound('revision');
      return text;
    },
  };
}
