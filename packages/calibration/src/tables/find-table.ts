import { CalibrationError } from '../calibration-error.js';
import type { OperatingPoint, RevisionContent, TableContent } from '../document/content.js';
import type { Layout, Rule, TableSpec } from '../layout/layout.js';
import { repeatName, variantAt } from '../layout/variants.js';

/** A table of the layout with its content and the values of one variant. */
export interface TableVariant {
  readonly spec: TableSpec;
  readonly content: TableContent;
  readonly variant: string;
  readonly values: readonly number[];
}

/** The layout's table of that id; throws `unknownTable`. */
export function getTableSpec(layout: Layout, tableId: string): TableSpec {
  const spec = layout.tables.find((table) => table.id === tableId);
  if (spec) return spec;
  throw new CalibrationError('unknownTable', `${nameOf(layout)} has no table '${tableId}'.`);
}

/** The layout's rule of that id; throws `unknownRule`. */
export function getRule(layout: Layout, ruleId: string): Rule {
  const rule = layout.rules.find((entry) => entry.id === ruleId);
  if (rule) return rule;
  const known = layout.rules.map((entry) => `'${entry.id}'`).join(', ') || 'none';
  throw new CalibrationError('unknownRule', `${nameOf(layout)} has no rule '${ruleId}'; its rules: ${known}.`);
}

/** The content's table of that id; throws `missingTable`. */
export function getTableContent(content: RevisionContent, tableId: string): TableContent {
  const table = Object.hasOwn(content.tables, tableId) ? content.tables[tableId] : undefined;
  if (table) return table;
  throw new CalibrationError('missingTable', `The content has no table '${tableId}'.`);
}

/** The values of one variant; throws `missingVariant`. */
export function getVariantValues(spec: TableSpec, content: TableContent, variant: string): readonly number[] {
  if (Object.hasOwn(content.values, variant)) return content.values[variant];
  const known = Object.keys(content.values).join(', ') || 'none';
  throw new CalibrationError(
    'missingVariant',
    `Table '${spec.id}' (one per ${repeatName(spec)}) has no variant '${variant}'; it has ${known}.`,
  );
}

/** The table and the variant that the operating point picks. */
export function getVariantAt(
  layout: Layout,
  content: RevisionContent,
  tableId: string,
  point: OperatingPoint,
): TableVariant {
  const spec = getTableSpec(layout, tableId);
  const asked = variantAt(spec, point);
  if ('missing' in asked) throw missingCoordinate(tableId, asked.missing);
  const table = getTableContent(content, tableId);
  return { spec, content: table, variant: asked.variant, values: getVariantValues(spec, table, asked.variant) };
}

/** The error for an operating point that leaves out what a table needs. */
export function missingCoordinate(tableId: string, coordinate: string): CalibrationError {
  return new CalibrationError(
    'missingCoordinate',
    `Table '${tableId}' needs '${coordinate}', which the operating point does not give.`,
  );
}

function nameOf(layout: Layout): string {
  return `Layout version ${layout.version} of '${layout.platformId}'`;
}
