import { CalibrationError, type Layout, type RevisionContent, type Rule, type TableSpec } from '@syncline/calibration';

/** The nodes of one variant of one table, in row-major order, as a run among all nodes that a rule depends on. */
export interface NodeSpan {
  readonly spec: TableSpec;
  readonly variant: string;
  /** Break points per axis in this revision. */
  readonly axes: readonly (readonly number[])[];
  /** Values in this revision. */
  readonly values: readonly number[];
  /** Index of its first node. */
  readonly start: number;
  /** A base table carries the level of the commanded quantity, a multiplier its dependence on something more. */
  readonly role: 'base' | 'multiplier';
}

/** Every table node that a rule's commanded quantity depends on, numbered, in one revision. */
export interface NodeDesign {
  readonly layout: Layout;
  readonly content: RevisionContent;
  readonly rule: Rule;
  /** In the rule's order of tables, variants in the content's order. */
  readonly spans: readonly NodeSpan[];
  readonly nodeCount: number;
}

/**
 * Numbers the nodes of a rule. The tables in the rule's own unit are its base tables (the first one where none is), the
 * others its multipliers. Throws `unknownRule` or `missingTable`.
 */
export function nodeDesign(layout: Layout, content: RevisionContent, ruleId: string): NodeDesign {
  const rule = layout.rules.find(({ id }) => id === ruleId);
  if (!rule) throw new CalibrationError('unknownRule', `The layout has no rule '${ruleId}'.`);
  const specs = rule.tables.map((id) => specOf(layout, id));
  const hasUnit = specs.some(({ unit }) => unit === rule.unit);
  const spans: NodeSpan[] = [];
  let start = 0;
  for (const spec of specs) {
    const table = content.tables[spec.id];
    if (!table) throw new CalibrationError('missingTable', `The content has no table '${spec.id}'.`);
    const role = (hasUnit ? spec.unit === rule.unit : spec === specs[0]) ? 'base' : 'multiplier';
    for (const [variant, values] of Object.entries(table.values)) {
      spans.push({ spec, variant, axes: table.axes, values, start, role });
      start += values.length;
    }
  }
  return { layout, content, rule, spans, nodeCount: start };
}

function specOf(layout: Layout, tableId: string): TableSpec {
  const spec = layout.tables.find(({ id }) => id === tableId);
  if (!spec) throw new CalibrationError('unknownTable', `The layout has no table '${tableId}'.`);
  return spec;
}
