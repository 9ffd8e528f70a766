import type { RevisionContent, TableContent } from '../document/content.js';
import type { Layout, TableSpec } from '../layout/layout.js';
import type { Platform } from '../layout/platform.js';
import { variantsOf } from '../layout/variants.js';
import { getTableContent, getVariantValues } from '../tables/find-table.js';
import { type Delimiter, writeRow } from './delimited-text.js';
import { axesLabel, TABLE_MARK, VALUE_MARK, VARIANT_MARK, variantLabel } from './table-labels.js';

export interface WriteTableOptions {
  /** Default `,`. */
  readonly delimiter?: Delimiter;
  /** Only this variant; default all. */
  readonly variant?: string;
}

/**
 * A table as delimited text (RFC 4180, UTF-8): a line that names table, quantity and unit, a line of column heads, and
 * the values, each row led by its variant. With two axes the first runs down the rows, the second along the columns.
 * Numbers read back exactly. Throws `missingVariant`.
 * @example
 * table,base,pressure,kPa
 * variant,load (%) by inputSpeed (rpm),1000,2000
 * shift 1-2,0,310,320.5
 * shift 1-2,100,480,512
 */
export function writeTable(
  spec: TableSpec,
  platform: Platform,
  table: TableContent,
  options: WriteTableOptions = {},
): string {
  const { delimiter = ',', variant: only } = options;
  const variants = only === undefined ? variantsOf(spec, platform) : [only];
  const columns = table.axes.at(-1) ?? [];
  const rows: (string | number)[][] = [
    [TABLE_MARK, spec.id, spec.quantity, spec.unit],
    spec.axes.length === 0 ? [VARIANT_MARK, VALUE_MARK] : [VARIANT_MARK, axesLabel(spec), ...columns],
  ];
  for (const variant of variants) {
    const values = getVariantValues(spec, table, variant);
    const label = variantLabel(spec, variant);
    if (spec.axes.length === 0) rows.push([label, ...values]);
    else if (spec.axes.length === 1) rows.push([label, '', ...values]);
    else {
      const at = (row: number) => values.slice(row * columns.length, (row + 1) * columns.length);
      rows.push(...table.axes[0].map((point, row) => [label, point, ...at(row)]));
    }
  }
  // Adding 0 makes −0 plain 0, as in canonical JSON.
  return rows.map((row) => writeRow(row.map(positiveZero), delimiter)).join('');
}

/** All tables of a calibration in the layout's order, a blank line between two. Throws `missingTable`. */
export function writeTables(input: {
  readonly layout: Layout;
  readonly platform: Platform;
  readonly content: RevisionContent;
  /** Default `,`. */
  readonly delimiter?: Delimiter;
}): string {
  const { layout, platform, content, delimiter } = input;
  return layout.tables
    .map((spec) => writeTable(spec, platform, getTableContent(content, spec.id), { delimiter }))
    .join('\r\n');
}

function positiveZero(cell: string | number): string | number {
  return typeof cell === 'number' ? cell + 0 : cell;
}
