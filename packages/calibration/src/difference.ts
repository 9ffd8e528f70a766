import { CalibrationError } from './calibration-error.js';
import { type CellChanges, cellChanges } from './cell-changes.js';
import type { RevisionContent, TableContent } from './content.js';
import { getTableContent, getVariantValues } from './find-table.js';
import type { AxisSpec, Layout, TableSpec } from './layout.js';
import type { Platform } from './platform.js';
import { resampleValues } from './resample.js';
import { variantsOf } from './variants.js';

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
  const isResampled = !base.axes.every((axis, i) => sameNumbers(axis, other.axes[i]));
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

function sameNumbers(a: readonly number[], b: readonly number[]): boolean {
  return a.length === b.length && a.every((value, i) => value === b[i]);
}

function assertSameLayout(layout: Layout, content: RevisionContent): void {
  if (content.platformId === layout.platformId && content.layoutVersion === layout.version) return;
  throw new CalibrationError(
    'otherLayout',
    `Content of ${content.platformId}, layout version ${content.layoutVersion}, cannot be compared under ` +
      `${layout.platformId}, layout version ${layout.version}.`,
  );
}
