import {
  type Layout,
  type MigratedContent,
  type MigrationPlan,
  migrateContent,
  planMigration,
} from '@syncline/calibration';
import type { Finding, MigrationResponse } from '@syncline/contract';
import { problem } from '../problem-error.js';
import type { Actor } from './actor.js';
import type { CalibrationService, OpenedRevision } from './calibrations.js';
import { describeFindings, describeStep } from './describe-migration.js';
import type { DraftService, OpenedDraft } from './drafts.js';
import { isBlocked, toFindings } from './findings.js';

/** New table ids by old ones. */
type Renames = Readonly<Record<string, string>>;

export interface PlannedMigration {
  readonly fromVersion: number;
  readonly toVersion: number;
  readonly steps: MigrationResponse['steps'];
  /** Of the content in the new layout. */
  readonly findings: Finding[];
  readonly isPossible: boolean;
}

export type MigrationService = ReturnType<typeof createMigrationService>;

/** Content brought from one layout version to another. */
export function createMigrationService(calibrations: CalibrationService, drafts: DraftService) {
  function planFor(revision: OpenedRevision, toVersion: number, renames: Renames): MigrationPlan {
    const { summary, layout, platform } = revision;
    if (toVersion === summary.layoutVersion) {
      throw problem('migration.impossible', { detail: `r${summary.number} has layout ${toVersion} already.` });
    }
    const { layout: to } = calibrations.openLayout(summary.platformId, toVersion);
    return planMigration(layout, to, platform, renames);
  }

  return {
    /** What a migration would do, for people to read; nothing is stored. */
    plan(revisionId: string, toVersion: number, renames: Renames): PlannedMigration {
      const revision = calibrations.open(revisionId);
      const plan = planFor(revision, toVersion, renames);
      const isPossible = !isBlocked(toFindings(plan.findings));
      const migrated = isPossible ? migrateContent(plan, revision.content) : undefined;
      return {
        fromVersion: revision.summary.layoutVersion,
        toVersion,
        steps: stepsOf(plan, migrated),
        findings: toFindings(migrated?.findings ?? []),
        isPossible,
      };
    },

    /** A draft in the new layout after the revision. */
    create(
      actor: Actor,
      revisionId: string,
      input: { readonly to: number; readonly renames: Renames; readonly line?: string },
    ): OpenedDraft {
      const revision = calibrations.open(revisionId);
      const plan = planFor(revision, input.to, input.renames);
      const findings = toFindings(plan.findings);
      if (isBlocked(findings)) {
        throw problem('migration.impossible', { detail: findings.map(({ message }) => message).join(' '), findings });
      }
      const { content } = migrateContent(plan, revision.content);
      const { number, calibrationId, layoutVersion } = revision.summary;
      return drafts.begin(actor, calibrationId, {
        title: `r${number} on layout ${input.to}`,
        line: input.line,
        origin: 'migration',
        originNote: `r${number} from layout ${layoutVersion} to ${input.to}`,
        parentId: revisionId,
        content,
        baseline: content,
      });
    },
  };
}

function stepsOf(plan: MigrationPlan, migrated: MigratedContent | undefined): MigrationResponse['steps'] {
  const titleOf = (tableId: string) => titleIn(plan.to, tableId) ?? titleIn(plan.from, tableId) ?? tableId;
  const steps = (migrated?.steps ?? plan.steps).map((step) => describeStep(plan, step));
  return [...describeFindings(plan.findings), ...steps].map((step) => ({ ...step, title: titleOf(step.tableId) }));
}

function titleIn({ tables }: Layout, tableId: string): string | undefined {
  return tables.find((table) => table.id === tableId)?.title;
}
