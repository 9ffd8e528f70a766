import type { Layout, Rule } from '../layout/layout.js';
import { findRepeated } from './find-repeated.js';
import { type Finding, finding } from './finding.js';

/** What is wrong with one rule of a layout: its tables and its unit. */
export function checkRule(rule: Rule, layout: Layout): Finding[] {
  const findings: Finding[] = [];
  if (rule.tables.length === 0) {
    findings.push(finding({ code: 'ruleEmpty', message: `Rule '${rule.id}' names no table. Name at least one.` }));
  }
  for (const tableId of findRepeated(rule.tables)) {
    const message = `Rule '${rule.id}' names table '${tableId}' more than once. Name it once.`;
    findings.push(finding({ code: 'ruleRepeatsTable', tableId, message }));
  }
  for (const tableId of new Set(rule.tables)) {
    const spec = layout.tables.find((table) => table.id === tableId);
    if (spec) continue;
    const message = `Rule '${rule.id}' names table '${tableId}', which the layout does not have. Add the table or mend the name.`;
    findings.push(finding({ code: 'ruleUnknownTable', found: tableId, message }));
  }
  return [...findings, ...checkRuleUnits(rule, layout)];
}

/** Spellings of "no unit": a pure factor, as multipliers have. */
const UNITLESS: ReadonlySet<string> = new Set(['', '1', '–', '-', '×']);

// A sum adds like to like. A product may hold one table in the rule's unit and otherwise pure factors.
function checkRuleUnits(rule: Rule, layout: Layout): Finding[] {
  const specs = rule.tables.flatMap((id) => layout.tables.find((table) => table.id === id) ?? []);
  if (rule.kind === 'sum') {
    return specs
      .filter((spec) => spec.unit !== rule.unit)
      .map((spec) => {
        const message = `Rule '${rule.id}' sums in ${rule.unit}, but table '${spec.id}' is in ${spec.unit || 'no unit'}. Use one unit.`;
        return finding({ code: 'ruleUnit', tableId: spec.id, found: spec.unit, bound: rule.unit, message });
      });
  }
  const units = specs.map((spec) => spec.unit).filter((unit) => !UNITLESS.has(unit));
  const expected = UNITLESS.has(rule.unit) ? [] : [rule.unit];
  if (specs.length === 0 || units.join('·') === expected.join('·')) return [];
  const found = units.join('·') || 'no unit';
  const message = `Rule '${rule.id}' is to give ${rule.unit || 'no unit'}, but its tables multiply to ${found}. Let one table carry the unit and the others be pure factors.`;
  return [finding({ code: 'ruleUnit', found, bound: rule.unit, message })];
}
