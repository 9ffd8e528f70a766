import type { AxisSpec, TableSpec } from '../layout/layout.js';
import { selectorsOf } from '../layout/variants.js';

/** First cell of the line that begins a table. */
export const TABLE_MARK = 'table';
/** First cell of the line of column heads. */
export const VARIANT_MARK = 'variant';
/** Head of the only column of a table without axes. */
export const VALUE_MARK = 'value';

/** `shift 1-2` for a shift, else the variant itself: a spreadsheet would turn `1-2` into a day of the year. */
export function variantLabel(spec: TableSpec, variant: string): string {
  return selectorsOf(spec)[0] === 'shift' ? `shift ${variant}` : variant;
}

/** The variant that a label stands for, with or without the word before it. */
export function variantOfLabel(label: string): string {
  return label.replace(/^shift\s+/i, '');
}

/** What runs along the axes: `load (%) by inputSpeed (rpm)`, the axis of the rows first. */
export function axesLabel(spec: TableSpec): string {
  return spec.axes.map(axisLabel).join(' by ');
}

function axisLabel({ quantity, unit }: AxisSpec): string {
  return unit === '' ? quantity : `${quantity} (${unit})`;
}
