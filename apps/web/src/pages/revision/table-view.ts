import { variantsOf } from '@syncline/calibration';
import type { LayoutDocument, PlatformDocument, RevisionContentDocument } from '@syncline/contract';
import { type GridAxis, nodeName } from '../../charts/grid-axis.js';
import type { GridPlace, GridSize } from '../../charts/grid-place.js';
import { type TableSpec, tableDigits, unitWord, variantWords } from './layout-words.js';

/** One variant of one table, ready to be drawn. */
export interface TableView {
  readonly spec: TableSpec;
  readonly variant: string;
  /** Names of all variants in the platform's order. */
  readonly variants: readonly string[];
  /** “Base pressure 2-3”. */
  readonly name: string;
  /** Slow axis; undefined for tables of one axis or none. */
  readonly rowAxis: GridAxis | undefined;
  /** Fast axis; undefined for a single value. */
  readonly columnAxis: GridAxis | undefined;
  readonly size: GridSize;
  /** Row-major, in `unit`. */
  readonly values: readonly number[];
  /** Lowest and highest of the values. */
  readonly extent: readonly [number, number];
  readonly unit: string;
  readonly digits: number;
}

/**
 * The table and variant that an address asks for, each with the first as fallback, so that an old address still shows
 * something. Undefined when the content has no such table.
 */
export function tableView(
  layout: LayoutDocument,
  platform: PlatformDocument,
  content: RevisionContentDocument,
  { table: tableId, variant: wanted }: { readonly table?: string | undefined; readonly variant?: string | undefined },
): TableView | undefined {
  const spec = layout.tables.find(({ id }) => id === tableId) ?? layout.tables[0];
  const table = spec && content.tables[spec.id];
  if (spec === undefined || table === undefined) return undefined;
  // Canonical JSON sorts names; a platform has an order of its own.
  const variants = variantsOf(spec, platform).filter((name) => name in table.values);
  const variant = variants.find((name) => name === wanted) ?? variants[0];
  if (variant === undefined) return undefined;
  const values = table.values[variant] as number[];
  const axes = spec.axes.map(({ title, unit }, i) => ({ title, unit, breakpoints: table.axes[i] ?? [] }));
  const [rowAxis, columnAxis] = axes.length === 2 ? axes : [undefined, axes[0]];
  return {
    spec,
    variant,
    variants,
    name: [spec.title, variantWords(spec, variant, platform).short].filter(Boolean).join(' '),
    rowAxis,
    columnAxis,
    size: { rows: rowAxis?.breakpoints.length ?? 1, columns: columnAxis?.breakpoints.length ?? 1 },
    values,
    extent: extentOf(values),
    unit: unitWord(spec.unit),
    digits: tableDigits(spec),
  };
}

/** Lowest and highest of some values; both 0 for none. */
export function extentOf(values: readonly number[]): readonly [number, number] {
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const value of values) {
    if (value < low) low = value;
    if (value > high) high = value;
  }
  return low > high ? [0, 0] : [low, high];
}

/** “Load 40 %, Input speed 2200 rpm”; empty for a single value. */
export function placeName(
  { rowAxis, columnAxis }: Pick<TableView, 'rowAxis' | 'columnAxis'>,
  { row, column }: GridPlace,
): string {
  return [rowAxis && nodeName(rowAxis, row), columnAxis && nodeName(columnAxis, column)].filter(Boolean).join(', ');
}
