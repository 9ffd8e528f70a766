import { assertSameLayout } from '../compare/same-layout.js';
import type { RevisionContent, TableContent } from '../document/content.js';
import type { Layout, TableSpec } from '../layout/layout.js';
import type { Platform } from '../layout/platform.js';
import { variantsOf } from '../layout/variants.js';
import { cellOf } from '../tables/cell.js';
import { getTableContent, getVariantValues } from '../tables/find-table.js';
import { sameAxes, sameNumbers } from '../tables/same-axes.js';

/** What two lines of work on one base make together, as far as they do not contradict each other. */
export interface ContentMerge {
  /** All that is agreed on. What is in conflict still stands as in the base. */
  readonly content: RevisionContent;
  /** In the layout's order. */
  readonly conflicts: readonly MergeConflict[];
  /** Cells that only one side changed, or both alike; moved break points count once per table. */
  readonly taken: { readonly ours: number; readonly theirs: number; readonly both: number };
}

export type MergeConflict = CellConflict | AxisConflict;

/** A cell that both sides changed, differently. */
export interface CellConflict {
  readonly kind: 'cell';
  /** Names the conflict in the choices of `resolveMerge`: table, variant and position. */
  readonly id: string;
  readonly tableId: string;
  readonly variant: string;
  /** Position in the variant's row-major values. */
  readonly cellIndex: number;
  readonly cell: { readonly row: number; readonly column: number };
  readonly base: number;
  readonly ours: number;
  readonly theirs: number;
}

/** A table whose break points a side moved while the other changed the table too: it can only be chosen as a whole. */
export interface AxisConflict {
  readonly kind: 'axis';
  /** Names the conflict in the choices of `resolveMerge`: the table. */
  readonly id: string;
  readonly tableId: string;
  readonly base: TableContent;
  readonly ours: TableContent;
  readonly theirs: TableContent;
}

/**
 * Three-way merge, cell by cell: a cell changed on one side is taken from there, changed alike it is taken, changed
 * differently it is a conflict. Values are never read off at other break points: where those moved, a table
 * that only one side changed is taken whole, and otherwise the table is one conflict. Exchanging ours and theirs gives the
 * same content and the same conflicts mirrored. All three contents must have the layout's shape (`checkContent`); throws
 * `otherLayout`, `missingTable` or `missingVariant`.
 */
export function mergeContents(
  layout: Layout,
  platform: Platform,
  base: RevisionContent,
  ours: RevisionContent,
  theirs: RevisionContent,
): ContentMerge {
  for (const content of [base, ours, theirs]) assertSameLayout(layout, content);
  const merged = layout.tables.map((spec) => {
    const [before, our, their] = [base, ours, theirs].map((content) => getTableContent(content, spec.id));
    return mergeTable(spec, variantsOf(spec, platform), before, our, their);
  });
  const sum = (side: keyof ContentMerge['taken']) => merged.reduce((count, { taken }) => count + taken[side], 0);
  return {
    content: { ...base, tables: Object.fromEntries(layout.tables.map(({ id }, i) => [id, merged[i].table])) },
    conflicts: merged.flatMap((entry) => entry.conflicts),
    taken: { ours: sum('ours'), theirs: sum('theirs'), both: sum('both') },
  };
}

interface MergedTable {
  readonly table: TableContent;
  readonly conflicts: readonly MergeConflict[];
  readonly taken: { ours: number; theirs: number; both: number };
}

function mergeTable(
  spec: TableSpec,
  variants: readonly string[],
  base: TableContent,
  ours: TableContent,
  theirs: TableContent,
): MergedTable {
  if (sameAxes(base.axes, ours.axes) && sameAxes(base.axes, theirs.axes)) {
    return mergeCells(spec, variants, base, ours, theirs);
  }
  const isSame = (a: TableContent, b: TableContent) =>
    sameAxes(a.axes, b.axes) &&
    variants.every((id) => sameNumbers(getVariantValues(spec, a, id), getVariantValues(spec, b, id)));
  const none = { ours: 0, theirs: 0, both: 0 };
  if (isSame(ours, theirs)) return { table: ours, conflicts: [], taken: { ...none, both: 1 } };
  if (isSame(base, ours)) return { table: theirs, conflicts: [], taken: { ...none, theirs: 1 } };
  if (isSame(base, theirs)) return { table: ours, conflicts: [], taken: { ...none, ours: 1 } };
  return {
    table: base,
    conflicts: [{ kind: 'axis', id: spec.id, tableId: spec.id, base, ours, theirs }],
    taken: none,
  };
}

function mergeCells(
  spec: TableSpec,
  variants: readonly string[],
  base: TableContent,
  ours: TableContent,
  theirs: TableContent,
): MergedTable {
  const conflicts: MergeConflict[] = [];
  const taken = { ours: 0, theirs: 0, both: 0 };
  const values = variants.map((variant) => {
    const [before, our, their] = [base, ours, theirs].map((table) => getVariantValues(spec, table, variant));
    const merged = [...before];
    for (let at = 0; at < before.length; at++) {
      const [isOurs, isTheirs] = [our[at] !== before[at], their[at] !== before[at]];
      if (isOurs && isTheirs && our[at] !== their[at]) {
        const part = { kind: 'cell', id: `${spec.id}/${variant}/${at}`, tableId: spec.id, variant } as const;
        const cell = cellOf(base.axes, at);
        conflicts.push({ ...part, cellIndex: at, cell, base: before[at], ours: our[at], theirs: their[at] });
      } else if (isOurs || isTheirs) {
        taken[isOurs && isTheirs ? 'both' : isOurs ? 'ours' : 'theirs']++;
        merged[at] = isOurs ? our[at] : their[at];
      }
    }
    return [variant, merged] as const;
  });
  return { table: { axes: base.axes, values: Object.fromEntries(values) }, conflicts, taken };
}
