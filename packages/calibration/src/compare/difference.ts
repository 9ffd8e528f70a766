import type { RevisionContent, TableContent } from '../document/content.js';
import type { AxisSpec, Layout, TableSpec } from '../layout/layout.js';
import type { Platform } from '../layout/platform.js';
import { variantsOf } from '../layout/variants.js';
import { getTableContent, getVariantValues } from '../tables/find-table.js';
import { resampleValues } from '../tables/resample.js';
import { sameAxes, sameNumbers } from '../tables/same-axes.js';
import { type CellChanges, cellChanges } from './cell-changes.js';
import { assertSameLayout } from './same-layout.js';

/** How one variant of one table differs, other minus base in the table's unit. All arrays are row-major on `axes`. */
export interface TableDifference extends Omit<CellChanges, 'rank'> {
  readonly tableId: string;
  readonly title: string;
  readonly unit: string;
  readonly variant: string;
  /** The axes of the other revision. */
  readonly axes: readonly Pick<AxisSpec, 'quantity' | 'title' | 'unit' | 'breakpoints'>[];
  /** The base's values, read off at `axes` when its own break points differ (`isResampled`). */
  readonly baseValues: readonly number[];
  readonly otherValues: readonly number[];
  readonly isResampled: boolean;
}

/**
 * What differs from base to other, one entry per table and variant, largest relative change first. A cell whose base is
 * 0 ranks by its change as a share of the table's limit span. Both contents must have the layout's shape
 * (`checkContent`) and be of one layout version; otherwise `otherLayout`, `missingTable` or `missingVariant` is thrown.
 */
export function differenceOf(
  layout: Layout,
  platform: Platform,
  base: RevisionContent,
  other: RevisionContent,
): TableDifference[] {
  assertSameLayout(layout, base);
  assertSameLayout(layout, other);
  return layout.tables
    .flatMap((spec) => {
      const [before, after] = [getTableContent(base, spec.id), getTableContent(other, spec.id)];
      return variantsOf(spec, platform).flatMap((variant) => differenceOfVariant(spec, variant, before, after));
    })
    .sort((a, b) => b.rank - a.rank)
    .map(({ difference }) => difference);
}

/** The content that `differenceOf` compared the base with: the base with each differing table and variant put in. */
export function applyDifference(base: RevisionContent, differences: readonly TableDifference[]): RevisionContent {
  const tables: Record<string, TableContent> = { ...base.tables };
  for (const { tableId, variant, axes, otherValues } of differences) {
    const table = getTableContent({ ...base, tables }, tableId);
    tables[tableId] = {
      axes: axes.map((axis) => [...axis.breakpoints]),
      values: { ...table.values, [variant]: [...otherValues] },
    };
  }
  return { ...base, tables };
}

function differenceOfVariant(
  spec: TableSpec,
  variant: string,
  base: TableContent,
  other: TableContent,
): { difference: TableDifference; rank: number }[] {
  const isResampled = !sameAxes(base.axes, other.axes);
  const own = getVariantValues(spec, base, variant);
  const otherValues = getVariantValues(spec, other, variant);
  if (!isResampled && sameNumbers(own, otherValues)) return [];
  const baseValues = isResampled ? resampleValues(base.axes, own, other.axes) : own;
  const { rank, ...changes } = cellChanges(baseValues, otherValues, spec.limits.max - spec.limits.min);
  const axes = spec.axes.map(({ quantity, title, unit }, i) => ({ quantity, title, unit, breakpoints: other.axes[i] }));
  const { id: tableId, title, unit } = spec;
  return [
    { difference: { tableId, title, unit, variant, axes, baseValues, otherValues, ...changes, isResampled }, rank },
  ];
}
