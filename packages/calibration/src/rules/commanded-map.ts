import type { OperatingPoint, RevisionContent } from '../document/content.js';
import type { Layout } from '../layout/layout.js';
import { compileRule } from './compile-rule.js';

/** Where a map is asked: the points that its rows and columns stand for. */
export interface MapPlaces {
  readonly rows: readonly number[];
  readonly columns: readonly number[];
  /** What changes from cell to cell; it may depend on both, as an engine speed that follows load and input speed does. */
  readonly pointAt: (row: number, column: number) => OperatingPoint;
}

/**
 * A rule's commanded quantity over two quantities, row-major with the rows running slowest; all else stays as in `fixed`,
 * which gives the variants. Throws as `evaluateRule` does. O(rows · columns · tables).
 */
export function commandedMap(
  layout: Layout,
  content: RevisionContent,
  ruleId: string,
  fixed: OperatingPoint,
  { rows, columns, pointAt }: MapPlaces,
): Float64Array {
  if (rows.length === 0 || columns.length === 0) return new Float64Array();
  const changing = Object.keys(pointAt(rows[0], columns[0]));
  const held = Object.fromEntries(Object.entries(fixed).filter(([part]) => !changing.includes(part)));
  const commanded = compileRule(layout, content, ruleId, held);
  const map = new Float64Array(rows.length * columns.length);
  let at = 0;
  for (const row of rows) {
    for (const column of columns) map[at++] = commanded(pointAt(row, column));
  }
  return map;
}
