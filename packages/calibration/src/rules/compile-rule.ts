import type { OperatingPoint, RevisionContent } from '../document/content.js';
import type { Layout } from '../layout/layout.js';
import { getRule } from '../tables/find-table.js';
import { type CompiledLookUp, compileLookUp } from '../tables/look-up.js';
import { namingRule, withRuleName } from './rule-terms.js';

/**
 * `evaluateRule` for an inner loop: variants and any coordinates given in `fixed` are settled once, the rest is read
 * from the point of each call (absent throws, NaN gives NaN). Same order of operations, so the same result to the bit.
 */
export function compileRule(
  layout: Layout,
  content: RevisionContent,
  ruleId: string,
  fixed: OperatingPoint,
): CompiledLookUp {
  const rule = getRule(layout, ruleId);
  const terms = namingRule(rule, () => rule.tables.map((tableId) => compileLookUp(layout, content, tableId, fixed)));
  const combined = rule.kind === 'product' ? productOf(terms) : sumOf(terms);
  return (point) => {
    try {
      return combined(point);
    } catch (error) {
      throw withRuleName(rule, error);
    }
  };
}

function productOf(terms: readonly CompiledLookUp[]): CompiledLookUp {
  return (point) => {
    let product = 1;
    for (let i = 0; i < terms.length; i++) product *= terms[i](point);
    return product;
  };
}

function sumOf(terms: readonly CompiledLookUp[]): CompiledLookUp {
  return (point) => {
    let sum = 0;
    for (let i = 0; i < terms.length; i++) sum += terms[i](point);
    return sum;
  };
}
