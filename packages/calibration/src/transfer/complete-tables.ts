import type { RevisionContent, TableContent } from '../document/content.js';
import type { Layout, TableSpec } from '../layout/layout.js';
import type { Platform } from '../layout/platform.js';
import { variantsOf } from '../layout/variants.js';
import { checkAgainstLayout } from './check-against-layout.js';
import type { ReadTable } from './read-tables.js';
import { ProblemList, type Refused } from './transfer-problem.js';

/**
 * Content out of the tables of a file. What the file leaves out, whole tables and variants of a table with the same
 * break points, comes from `base`; without it that is a problem.
 */
export function completeTables(
  read: readonly ReadTable[],
  layout: Layout,
  platform: Platform,
  base?: RevisionContent,
): { readonly kind: 'completed'; readonly content: RevisionContent; readonly notes: readonly string[] } | Refused {
  const byId = new Map(read.map((entry) => [entry.tableId, entry]));
  const isWhole = layout.tables.every((spec) => {
    const entry = byId.get(spec.id);
    return entry && missingVariants(spec, platform, entry).length === 0;
  });
  if (base && !isWhole) {
    const checked = checkAgainstLayout(base, layout, platform);
    if (checked.kind === 'refused') return checked;
  }
  const problems = new ProblemList();
  const tables: Record<string, TableContent> = {};
  const left: string[] = [];
  for (const spec of layout.tables) {
    const entry = byId.get(spec.id);
    const before = base?.tables[spec.id];
    if (entry) tables[spec.id] = completeTable({ spec, platform, entry, before }, left, problems);
    else if (before) {
      tables[spec.id] = before;
      left.push(spec.id);
    } else {
      const message = `Table '${spec.id}' (${spec.title}) is not in the file. Add it, or import into a revision that has it.`;
      problems.add(message, { tableId: spec.id });
    }
  }
  if (!problems.isEmpty) return problems.refusal();
  const content = { platformId: layout.platformId, layoutVersion: layout.version, tables };
  const notes = left.length === 0 ? [] : [`Not in the file and left as they are: ${left.join(', ')}.`];
  return { kind: 'completed', content, notes };
}

interface PartialTable {
  readonly spec: TableSpec;
  readonly platform: Platform;
  readonly entry: ReadTable;
  readonly before: TableContent | undefined;
}

/** @param left gets the name of each variant that comes from before */
function completeTable(partial: PartialTable, left: string[], problems: ProblemList): TableContent {
  const { spec, platform, before } = partial;
  const { line, table } = partial.entry;
  const missing = missingVariants(spec, platform, partial.entry);
  if (missing.length === 0) return table;
  const place = { line, tableId: spec.id, variant: missing[0] };
  const named = `table '${spec.id}' lacks ${missing.join(', ')}`;
  if (!before) problems.add(`${named}. Add rows for them, or import into a revision that has them.`, place);
  else if (!hasEqualAxes(table, before)) {
    problems.add(
      `${named}, and its break points are not those of the revision. Give all variants, or set them back.`,
      place,
    );
  } else {
    const kept = missing.map((variant) => [variant, before.values[variant]]);
    left.push(...missing.map((variant) => `${spec.id} ${variant}`));
    return { axes: table.axes, values: { ...table.values, ...Object.fromEntries(kept) } };
  }
  return table;
}

function missingVariants(spec: TableSpec, platform: Platform, { table }: ReadTable): string[] {
  return variantsOf(spec, platform).filter((variant) => !Object.hasOwn(table.values, variant));
}

function hasEqualAxes(a: TableContent, b: TableContent): boolean {
  return a.axes.every(
    (axis, i) => axis.length === b.axes[i].length && axis.every((point, k) => point === b.axes[i][k]),
  );
}
