import { CalibrationError } from '../calibration-error.js';
import { checkContent } from '../checks/check-content.js';
import type { Finding } from '../checks/finding.js';
import { assertSameLayout } from '../compare/same-layout.js';
import type { RevisionContent, TableContent } from '../document/content.js';
import { cellCount, defaultTable } from '../document/default-content.js';
import type { TableSpec } from '../layout/layout.js';
import { variantsOf } from '../layout/variants.js';
import { getTableContent, getVariantValues } from '../tables/find-table.js';
import { resampleTable } from '../tables/resample.js';
import { sameNumbers } from '../tables/same-axes.js';
import type { MigrationPlan, MigrationStep, TablePlan, VariantCopy } from './migration-plan.js';
import { orKept, variantSteps } from './plan-migration.js';

export interface MigratedContent {
  readonly content: RevisionContent;
  /** What was done to this content; with the resampling errors, and without what the plan foresaw but it did not need. */
  readonly steps: readonly MigrationStep[];
  /** The plan's warnings, what stands at its default besides, and what `checkContent` says of the result. */
  readonly findings: readonly Finding[];
}

/**
 * Content of the plan's old layout as content of its new one. Nothing is clipped: values outside new limits are findings.
 * Throws `migrationBlocked` for a plan with blocking findings, and `otherLayout`, `missingTable` or `missingVariant` for
 * content that does not have the old layout's shape.
 */
export function migrateContent(plan: MigrationPlan, content: RevisionContent): MigratedContent {
  const blocking = plan.findings.filter((entry) => entry.severity === 'blocking');
  if (blocking.length > 0) {
    const messages = blocking.map((entry) => entry.message).join(' ');
    throw new CalibrationError('migrationBlocked', `The content cannot be moved to the new layout. ${messages}`);
  }
  assertSameLayout(plan.from, content);
  const moved = plan.tables.map((table) => migrateTable(plan, table, content));
  const tables = Object.fromEntries(plan.to.tables.map(({ id }, i) => [id, moved[i].table]));
  const migrated = { platformId: plan.to.platformId, layoutVersion: plan.to.version, tables };
  return {
    content: migrated,
    steps: [
      ...moved.flatMap(({ steps }, i) => orKept(plan.to.tables[i].id, steps)),
      ...plan.steps.filter((step) => step.kind === 'removed'),
    ],
    findings: [
      ...plan.findings.filter((entry) => entry.code !== 'variantDefaulted'),
      ...moved.flatMap(({ findings }) => findings),
      ...checkContent(plan.to, plan.platform, migrated),
    ],
  };
}

interface MigratedTable {
  readonly table: TableContent;
  readonly steps: readonly MigrationStep[];
  readonly findings: readonly Finding[];
}

function migrateTable(plan: MigrationPlan, tablePlan: TablePlan, content: RevisionContent): MigratedTable {
  const { spec, source } = tablePlan;
  const planned = plan.steps.filter((step) => step.tableId === spec.id && step.kind !== 'removed');
  if (!source) return { table: defaultTable(spec, plan.platform), steps: planned, findings: [] };
  const axes = moveAxes(spec, arrangeAxes(spec, source, getTableContent(content, source.id)));
  const variants = moveVariants(plan, tablePlan, axes.table);
  return {
    table: { axes: axes.table.axes, values: variants.values },
    steps: [
      ...planned.filter((step) => step.kind === 'renamed' || step.kind === 'axesArranged'),
      ...axes.steps,
      ...variants.steps,
    ],
    findings: variants.findings,
  };
}

/** The table with its axes in the new order, and with the same values at each break point of a new axis. */
function arrangeAxes(spec: TableSpec, source: TableSpec, table: TableContent): TableContent {
  const places = spec.axes.map(({ quantity }) => source.axes.findIndex((axis) => axis.quantity === quantity));
  const axes = spec.axes.map((axis, i) => (places[i] < 0 ? axis.breakpoints : table.axes[places[i]]));
  if (places.length === source.axes.length && places.every((place, i) => place === i)) return table;
  const oldIndices = Array.from({ length: cellCount(axes) }, (_, index) => {
    const steps = axes.length === 2 ? [Math.floor(index / axes[1].length), index % axes[1].length] : [index];
    return source.axes.reduce((old, _axis, k) => old * table.axes[k].length + steps[places.indexOf(k)], 0);
  });
  const values = Object.entries(table.values).map(([id, old]) => [id, oldIndices.map((index) => old[index])] as const);
  return { axes, values: Object.fromEntries(values) };
}

/** The table at the break points that the new layout asks for: its own where an axis may be moved, else the layout's. */
function moveAxes(spec: TableSpec, table: TableContent): { table: TableContent; steps: MigrationStep[] } {
  const target = spec.axes.map((axis, i) =>
    axis.editable && axis.breakpoints.length === table.axes[i].length ? table.axes[i] : axis.breakpoints,
  );
  const axes = target.flatMap((axis, i) => (sameNumbers(axis, table.axes[i]) ? [] : [i]));
  if (axes.length === 0) return { table, steps: [] };
  const { content, largestError } = resampleTable(spec, table, target);
  return { table: content, steps: [{ kind: 'resampled', tableId: spec.id, axes, largestError }] };
}

function moveVariants(
  { platform }: MigrationPlan,
  { spec, source, variantSources }: TablePlan,
  table: TableContent,
): { values: Record<string, readonly number[]>; steps: MigrationStep[]; findings: Finding[] } {
  const copies: VariantCopy[] = [];
  const defaulted: string[] = [];
  const standard = defaultTable(spec, platform).values;
  const values = variantsOf(spec, platform).map((variant) => {
    const from = variantSources[variant];
    const [first, ...others] = from.map((id) => getVariantValues(source ?? spec, table, id));
    if (first && others.every((other) => sameNumbers(first, other))) {
      copies.push({ from, to: variant });
      return [variant, first] as const;
    }
    defaulted.push(variant);
    return [variant, standard[variant]] as const;
  });
  return { values: Object.fromEntries(values), ...variantSteps(spec, copies, defaulted) };
}
