import type { OperatingPoint, RevisionContent } from '../document/content.js';
import type { Layout } from '../layout/layout.js';
import { getRule } from '../tables/find-table.js';
import { combineTerms, termsAt } from './rule-terms.js';

/** A commanded quantity and what each table of its rule contributes. */
export interface RuleValue {
  readonly value: number;
  readonly unit: string;
  readonly shares: readonly TableShare[];
}

/** One table's factor (product) or summand (sum). */
export interface TableShare {
  readonly tableId: string;
  readonly variant: string;
  readonly value: number;
}

/**
 * The quantity that a rule commands at an operating point, with each table's share in the rule's order.
 * Throws `missingCoordinate`, naming rule, table and coordinate, when the point does not say enough.
 */
export function evaluateRule(
  layout: Layout,
  content: RevisionContent,
  ruleId: string,
  point: OperatingPoint,
): RuleValue {
  const rule = getRule(layout, ruleId);
  const shares = termsAt(layout, content, rule, point).map(({ table, value }) => ({
    tableId: table.spec.id,
    variant: table.variant,
    value,
  }));
  return { value: combineTerms(rule.kind, shares), unit: rule.unit, shares };
}
