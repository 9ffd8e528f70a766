import type { RevisionContent, TableContent } from '../document/content.js';
import type { AxisSpec, Layout, TableSpec } from '../layout/layout.js';
import type { Platform } from '../layout/platform.js';
import { variantsOf } from '../layout/variants.js';
import { getTableContent, getTableSpec, getVariantValues } from '../tables/find-table.js';
import { resampleValues } from '../tables/resample.js';
import { sameAxes } from '../tables/same-axes.js';
import { type CellChanges, type ChangeSize, cellChanges, changeSize } from './cell-changes.js';
import { assertSameLayout } from './same-layout.js';

/** How far one variant of one table differs, other minus base in the table's unit. Positions are on the other's axes. */
export interface TableChange extends Omit<ChangeSize, 'rank'> {
  readonly tableId: string;
  readonly title: string;
  readonly unit: string;
  readonly variant: string;
  /** Whether the break points differ: then the base is read off at those of the other revision. */
  readonly isResampled: boolean;
}

/** How one variant of one table differs cell by cell. All arrays are row-major on `axes`. */
export interface TableDifference extends TableChange, CellChanges {
  /** The axes of the other revision. */
  readonly axes: readonly Pick<AxisSpec, 'quantity' | 'title' | 'unit' | 'breakpoints'>[];
  /** The base's values, read off at `axes` when its own break points differ (`isResampled`). */
  readonly baseValues: readonly number[];
  readonly otherValues: readonly number[];
}

/**
 * What differs from base to other, one entry per table and variant, largest relative change first. A cell whose base is
 * 0 ranks by its change as a share of the table's limit span. Both contents must have the layout's shape
 * (`checkContent`) and be of one layout version; otherwise `otherLayout`, `missingTable` or `missingVariant` is thrown.
 * The cells of an entry follow by `differenceOfVariant`.
 */
export function changesOf(
  layout: Layout,
  platform: Platform,
  base: RevisionContent,
  other: RevisionContent,
): TableChange[] {
  assertSameLayout(layout, base);
  assertSameLayout(layout, other);
  return layout.tables
    .flatMap((spec) => variantsOf(spec, platform).map((variant) => compareVariant(spec, variant, base, other)))
    .filter(({ change }) => change.isResampled || change.changedCells > 0)
    .sort((a, b) => b.rank - a.rank)
    .map(({ change }) => change);
}

/** `changesOf` with all cells. */
export function differenceOf(
  layout: Layout,
  platform: Platform,
  base: RevisionContent,
  other: RevisionContent,
): TableDifference[] {
  return changesOf(layout, platform, base, other).map((change) => differenceOfVariant(layout, change, base, other));
}

/** One variant of one table cell by cell, whether or not it differs. Throws as `changesOf`, and `unknownTable`. */
export function differenceOfVariant(
  layout: Layout,
  { tableId, variant }: Pick<TableChange, 'tableId' | 'variant'>,
  base: RevisionContent,
  other: RevisionContent,
): TableDifference {
  assertSameLayout(layout, base);
  assertSameLayout(layout, other);
  const spec = getTableSpec(layout, tableId);
  const { change, baseValues, otherValues, breakpoints } = compareVariant(spec, variant, base, other);
  const axes = spec.axes.map(({ quantity, title, unit }, i) => ({
    quantity,
    title,
    unit,
    breakpoints: breakpoints[i],
  }));
  return { ...change, axes, baseValues, otherValues, ...cellChanges(baseValues, otherValues) };
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

function compareVariant(spec: TableSpec, variant: string, base: RevisionContent, other: RevisionContent) {
  const [before, after] = [getTableContent(base, spec.id), getTableContent(other, spec.id)];
  const isResampled = !sameAxes(before.axes, after.axes);
  const own = getVariantValues(spec, before, variant);
  const otherValues = getVariantValues(spec, after, variant);
  const baseValues = isResampled ? resampleValues(before.axes, own, after.axes) : own;
  const { rank, ...size } = changeSize(baseValues, otherValues, spec.limits.max - spec.limits.min);
  const change: TableChange = { tableId: spec.id, title: spec.title, unit: spec.unit, variant, isResampled, ...size };
  return { change, rank, baseValues, otherValues, breakpoints: after.axes };
}
