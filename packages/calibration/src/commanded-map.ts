import { compileRule } from './compile-rule.js';
import type { OperatingPoint, RevisionContent } from './content.js';
import type { Layout, OperatingQuantity } from './layout.js';

/** One side of a map: a quantity and the places at which it is asked, in any order. */
export interface MapAxis {
  readonly quantity: OperatingQuantity;
  readonly values: readonly number[];
}

/**
 * A rule's commanded quantity over two different quantities, row-major with the row axis running slowest; all else stays as in
 * `point`. Throws as `evaluateRule` does. O(rows · columns · tables).
 */
export function commandedMap(
  layout: Layout,
  content: RevisionContent,
  ruleId: string,
  point: OperatingPoint,
  rowAxis: MapAxis,
  columnAxis: MapAxis,
): Float64Array {
  const { [rowAxis.quantity]: _row, [columnAxis.quantity]: _column, ...fixed } = point;
  const commanded = compileRule(layout, content, ruleId, fixed);
  const map = new Float64Array(rowAxis.values.length * columnAxis.values.length);
  let at = 0;
  for (const row of rowAxis.values) {
    for (const column of columnAxis.values) {
      map[at++] = commanded({ [rowAxis.quantity]: row, [columnAxis.quantity]: column });
    }
  }
  return map;
}
