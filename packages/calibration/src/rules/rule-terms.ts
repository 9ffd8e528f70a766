import { CalibrationError } from '../calibration-error.js';
import type { OperatingPoint, RevisionContent } from '../document/content.js';
import type { Layout, Rule } from '../layout/layout.js';
import { getVariantAt, type TableVariant } from '../tables/find-table.js';
import { valueAt } from '../tables/look-up.js';

/** A table of a rule at an operating point, with its factor or summand. */
export interface RuleTerm {
  readonly table: TableVariant;
  readonly value: number;
}

/** The terms of a rule at an operating point, in the rule's order; errors name the rule. */
export function termsAt(layout: Layout, content: RevisionContent, rule: Rule, point: OperatingPoint): RuleTerm[] {
  return namingRule(rule, () =>
    rule.tables.map((tableId) => {
      const table = getVariantAt(layout, content, tableId, point);
      return { table, value: valueAt(table, point) };
    }),
  );
}

/** The commanded quantity of a rule's terms. */
export function combineTerms(kind: Rule['kind'], terms: readonly { readonly value: number }[]): number {
  return kind === 'product'
    ? terms.reduce((product, term) => product * term.value, 1)
    : terms.reduce((sum, term) => sum + term.value, 0);
}

/** Does the work and puts the rule's name before the message of what it throws. */
export function namingRule<T>(rule: Rule, work: () => T): T {
  try {
    return work();
  } catch (error) {
    throw withRuleName(rule, error);
  }
}

/** A calibration error with the rule's name before its message; anything else as it is. */
export function withRuleName(rule: Rule, error: unknown): unknown {
  return error instanceof CalibrationError
    ? new CalibrationError(error.code, `Rule '${rule.id}': ${error.message}`)
    : error;
}
