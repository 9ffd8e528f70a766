import { findRepeated } from '../checks/find-repeated.js';
import { type Finding, finding } from '../checks/finding.js';
import type { Layout, TableSpec } from '../layout/layout.js';
import type { Platform } from '../layout/platform.js';
import { variantParts, variantsOf } from '../layout/variants.js';
import { sameNumbers } from '../tables/same-axes.js';
import type { MigrationPlan, MigrationStep, TablePlan, VariantCopy } from './migration-plan.js';

/**
 * How content of one layout becomes content of another. Tables are matched by id or by `renames`; what matches nothing is
 * added at its default or removed. Axes are matched by quantity, variants by what they say of the operating point: a
 * table that gains programs, shifts or an axis has its values copied to each. What cannot be brought over stands at its
 * default and is a warning. A table or axis whose unit or quantity changed is a blocking finding, since its numbers
 * mean something else: give such a table a new id.
 * @param renames new table ids by old ones
 */
export function planMigration(
  from: Layout,
  to: Layout,
  platform: Platform,
  renames: Readonly<Record<string, string>> = {},
): MigrationPlan {
  const oldIdOf = new Map(Object.entries(renames).map(([oldId, newId]) => [newId, oldId]));
  const planned = to.tables.map((spec) => {
    const oldId = oldIdOf.get(spec.id) ?? (Object.hasOwn(renames, spec.id) ? undefined : spec.id);
    return planTable(
      spec,
      from.tables.find((table) => table.id === oldId),
      platform,
    );
  });
  const carried = new Set(planned.map(({ matchedId }) => matchedId));
  const removed = from.tables.filter(({ id }) => !carried.has(id));
  return {
    platform,
    from,
    to,
    tables: planned.map(({ table }) => table),
    steps: [
      ...planned.flatMap(({ table, steps }) => orKept(table.spec.id, steps)),
      ...removed.map(({ id: tableId }) => ({ kind: 'removed', tableId }) as const),
    ],
    findings: [
      ...checkPlatforms(from, to),
      ...checkRenames(from, to, renames),
      ...planned.flatMap(({ findings }) => findings),
    ],
  };
}

/** The steps, or that the table is kept where there are none. */
export function orKept(tableId: string, steps: readonly MigrationStep[]): readonly MigrationStep[] {
  return steps.length > 0 ? steps : [{ kind: 'kept', tableId }];
}

/** Steps and finding for new variants by the old ones that speak for them. */
export function variantSteps(
  spec: TableSpec,
  copies: readonly VariantCopy[],
  defaulted: readonly string[],
): { steps: MigrationStep[]; findings: Finding[] } {
  const { id: tableId, defaultValue, unit } = spec;
  const changed = copies.filter((copy) => copy.from.join() !== copy.to);
  const steps: MigrationStep[] = [];
  if (changed.length > 0) steps.push({ kind: 'variantsCopied', tableId, copies: changed });
  if (defaulted.length === 0) return { steps, findings: [] };
  steps.push({ kind: 'variantsDefaulted', tableId, variants: defaulted, defaultValue });
  const message =
    `Table '${tableId}': nothing in the old layout speaks for ${defaulted.join(', ')}; they begin at ` +
    `${`${defaultValue} ${unit}`.trimEnd()}. Set their values.`;
  return { steps, findings: [finding({ code: 'variantDefaulted', severity: 'warning', tableId, message })] };
}

interface PlannedTable {
  readonly table: TablePlan;
  /** The old table that this one stands for, carried over or not. */
  readonly matchedId: string | null;
  readonly steps: readonly MigrationStep[];
  readonly findings: readonly Finding[];
}

function planTable(spec: TableSpec, source: TableSpec | undefined, platform: Platform): PlannedTable {
  const { id: tableId, defaultValue } = spec;
  const atDefault: TablePlan = { spec, source: null, variantSources: {} };
  const added: MigrationStep = { kind: 'added', tableId, defaultValue };
  if (!source) return { table: atDefault, matchedId: null, steps: [added], findings: [] };
  const renamed: MigrationStep[] = source.id === tableId ? [] : [{ kind: 'renamed', tableId, oldId: source.id }];
  const lostAxis = source.axes.find((axis) => !spec.axes.some(({ quantity }) => quantity === axis.quantity));
  const findings = checkUnits(spec, source);
  if (findings.length > 0) return { table: atDefault, matchedId: source.id, steps: renamed, findings };
  if (lostAxis) {
    const message = `Table '${tableId}' no longer runs over '${lostAxis.title}', and which of its values to keep is open; it begins at ${`${defaultValue} ${spec.unit}`.trimEnd()}. Set its values.`;
    const lost = finding({ code: 'axisDropped', severity: 'warning', tableId, found: lostAxis.quantity, message });
    return { table: atDefault, matchedId: source.id, steps: [...renamed, added], findings: [lost] };
  }
  const variantSources = sourcesOf(spec, source, platform);
  const entries = Object.entries(variantSources);
  const variants = variantSteps(
    spec,
    entries.filter(([, olds]) => olds.length > 0).map(([to, olds]) => ({ from: olds, to })),
    entries.filter(([, olds]) => olds.length === 0).map(([to]) => to),
  );
  return {
    table: { spec, source, variantSources },
    matchedId: source.id,
    steps: [...renamed, ...axisSteps(spec, source), ...variants.steps],
    findings: variants.findings,
  };
}

function axisSteps(spec: TableSpec, source: TableSpec): MigrationStep[] {
  const tableId = spec.id;
  const steps: MigrationStep[] = [];
  const quantities = spec.axes.map((axis) => axis.quantity);
  if (quantities.join() !== source.axes.map((axis) => axis.quantity).join()) {
    steps.push({ kind: 'axesArranged', tableId, quantities });
  }
  const resampled = spec.axes.flatMap((axis, i) => {
    const old = source.axes.find(({ quantity }) => quantity === axis.quantity);
    if (!old) return [];
    const keepsOwn = axis.editable && axis.breakpoints.length === old.breakpoints.length;
    const isSame = !old.editable && sameNumbers(old.breakpoints, axis.breakpoints);
    return keepsOwn || isSame ? [] : [i];
  });
  if (resampled.length > 0) steps.push({ kind: 'resampled', tableId, axes: resampled, largestError: null });
  return steps;
}

/** For each new variant the old ones that do not contradict it. */
function sourcesOf(spec: TableSpec, source: TableSpec, platform: Platform): Record<string, string[]> {
  const olds = variantsOf(source, platform).map((id) => ({ id, parts: variantParts(source, id) }));
  const sources = variantsOf(spec, platform).map((variant) => {
    const parts: Record<string, string | undefined> = variantParts(spec, variant);
    const agrees = (old: Record<string, string | undefined>) =>
      Object.entries(old).every(([selector, id]) => (parts[selector] ?? id) === id);
    return [variant, olds.filter((old) => agrees(old.parts)).map(({ id }) => id)] as const;
  });
  return Object.fromEntries(sources);
}

function checkUnits(spec: TableSpec, source: TableSpec): Finding[] {
  const pairs = [
    { name: `Table '${spec.id}'`, old: meaningOf(source), new: meaningOf(spec) },
    ...spec.axes.flatMap((axis) => {
      const old = source.axes.find(({ quantity }) => quantity === axis.quantity);
      return old
        ? [{ name: `Table '${spec.id}', axis '${axis.title}'`, old: meaningOf(old), new: meaningOf(axis) }]
        : [];
    }),
  ];
  return pairs
    .filter((pair) => pair.old !== pair.new)
    .map((pair) => {
      const message = `${pair.name}: was ${pair.old}, is to be ${pair.new}; its numbers would mean something else. Give the new table an id of its own.`;
      return finding({ code: 'unitChanged', tableId: spec.id, found: pair.old, bound: pair.new, message });
    });
}

function meaningOf({ quantity, unit }: Pick<TableSpec, 'quantity' | 'unit'>): string {
  return `${quantity} in ${unit || 'no unit'}`;
}

function checkPlatforms(from: Layout, to: Layout): Finding[] {
  if (from.platformId === to.platformId) return [];
  const message = `The layouts are for platforms '${from.platformId}' and '${to.platformId}'. Choose two of one platform.`;
  return [finding({ code: 'otherPlatform', found: from.platformId, bound: to.platformId, message })];
}

function checkRenames(from: Layout, to: Layout, renames: Readonly<Record<string, string>>): Finding[] {
  const fault = (found: string, message: string) => finding({ code: 'renameUnknown', found, message });
  return [
    ...Object.entries(renames).flatMap(([oldId, newId]) => [
      ...(from.tables.some(({ id }) => id === oldId)
        ? []
        : [fault(oldId, `Table '${oldId}' is to be renamed, but layout version ${from.version} has no such table.`)]),
      ...(to.tables.some(({ id }) => id === newId)
        ? []
        : [fault(newId, `'${oldId}' is to become '${newId}', but layout version ${to.version} has no such table.`)]),
    ]),
    ...findRepeated(Object.values(renames)).map((newId) =>
      fault(newId, `More than one table is to become '${newId}'. Choose one.`),
    ),
  ];
}
