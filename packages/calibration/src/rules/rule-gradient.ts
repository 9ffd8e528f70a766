import { CalibrationError } from '../calibration-error.js';
import type { OperatingPoint, RevisionContent } from '../document/content.js';
import type { Layout } from '../layout/layout.js';
import { getRule, type TableVariant } from '../tables/find-table.js';
import { nodeWeights } from '../tables/interpolate.js';
import { coordinatesOf } from '../tables/look-up.js';
import { combineTerms, termsAt } from './rule-terms.js';

/** How a relative change of one table node moves the commanded quantity, relatively. */
export interface NodeSensitivity {
  readonly tableId: string;
  readonly variant: string;
  /** Position in the variant's row-major values. */
  readonly nodeIndex: number;
  /** ∂ ln p / ∂ ln v of the node. */
  readonly dLnCommandedDLnNode: number;
}

/**
 * One row of the design matrix of methods.md 6: ∂ln p/∂ln v_k = w_k·v_k/f for a product, f being the table's value, and
 * w_k·v_k/p for a sum. Only nodes with weight are listed. The entries of each table of a product sum to 1.
 * Throws `gradientUndefined` where p is not above 0 and so has no logarithm, and as `evaluateRule` does.
 */
export function ruleGradient(
  layout: Layout,
  content: RevisionContent,
  ruleId: string,
  point: OperatingPoint,
): NodeSensitivity[] {
  const rule = getRule(layout, ruleId);
  const terms = termsAt(layout, content, rule, point);
  const commanded = combineTerms(rule.kind, terms);
  if (!(commanded > 0)) {
    const message = `Rule '${ruleId}' commands ${commanded} ${rule.unit} here; its logarithm has no gradient.`;
    throw new CalibrationError('gradientUndefined', message);
  }
  return terms.flatMap(({ table, value }) => nodeShares(table, point, rule.kind === 'product' ? value : commanded));
}

function nodeShares(table: TableVariant, point: OperatingPoint, divisor: number): NodeSensitivity[] {
  const { indices, weights } = nodeWeights(table.content.axes, coordinatesOf(table, point));
  const shares: NodeSensitivity[] = [];
  for (let i = 0; i < indices.length; i++) {
    if (weights[i] === 0) continue;
    const nodeIndex = indices[i];
    const dLnCommandedDLnNode = (weights[i] * table.values[nodeIndex]) / divisor;
    shares.push({ tableId: table.spec.id, variant: table.variant, nodeIndex, dLnCommandedDLnNode });
  }
  return shares;
}
