import type { TableContent } from '../document/content.js';
import { cellCount } from '../document/default-content.js';
import type { TableSpec } from '../layout/layout.js';
import type { Platform } from '../layout/platform.js';
import { repeatName, variantsOf } from '../layout/variants.js';
import { axisFaultMessage, findAxisFault } from '../tables/axis-order.js';
import { type Finding, finding, plain } from './finding.js';

/** Findings about a table's axes, its variants and the number of their values, not about the values. */
export function checkShape(spec: TableSpec, platform: Platform, table: TableContent): Finding[] {
  const axisFindings = checkAxes(spec, table);
  const variants = variantsOf(spec, platform);
  const unknown = Object.keys(table.values).filter((variant) => !variants.includes(variant));
  return [
    ...axisFindings,
    ...unknown.map((variant) => {
      const message = `Table '${spec.id}' has values for '${variant}', which is no ${repeatName(spec)} of the platform. Remove them; known are ${variants.join(', ')}.`;
      return finding({ code: 'variantUnknown', tableId: spec.id, variant, found: variant, message });
    }),
    ...variants.flatMap((variant) => checkVariant(spec, table, variant, areAxesSound(axisFindings))),
  ];
}

/** Whether values can be read by their break points, going by what `checkShape` found about the axes. */
export function areAxesSound(findings: readonly Finding[]): boolean {
  return findings.every((entry) => entry.code === 'breakpointMoved' || entry.variant !== null);
}

/** Whether the variant has one value per cell. */
export function hasValuesOf(table: TableContent, variant: string): boolean {
  return Object.hasOwn(table.values, variant) && table.values[variant].length === cellCount(table.axes);
}

function checkAxes(spec: TableSpec, table: TableContent): Finding[] {
  const part = { tableId: spec.id };
  if (table.axes.length !== spec.axes.length) {
    const message = `Table '${spec.id}' has ${table.axes.length} axes, expected ${spec.axes.length}. Give it the layout's axes.`;
    return [finding({ ...part, code: 'axisCount', found: table.axes.length, bound: spec.axes.length, message })];
  }
  return spec.axes.flatMap((axis, i) => {
    const breakpoints = table.axes[i];
    if (breakpoints.length !== axis.breakpoints.length) {
      const message = `Table '${spec.id}', axis '${axis.title}': found ${breakpoints.length} break points, expected ${axis.breakpoints.length}. Their count is fixed by the layout.`;
      const [found, bound] = [breakpoints.length, axis.breakpoints.length];
      return [finding({ ...part, code: 'breakpointCount', found, bound, message })];
    }
    const at = findAxisFault(breakpoints);
    if (at >= 0) {
      const message = `Table '${spec.id}', ${axisFaultMessage(axis.title, breakpoints, at)}`;
      const bound = at > 0 ? plain(breakpoints[at - 1]) : null;
      return [finding({ ...part, code: 'axisOrder', found: plain(breakpoints[at]), bound, message })];
    }
    const moved = axis.editable ? -1 : breakpoints.findIndex((x, k) => x !== axis.breakpoints[k]);
    if (moved < 0) return [];
    const [found, bound] = [breakpoints[moved], axis.breakpoints[moved]];
    const message = `Table '${spec.id}', axis '${axis.title}', break point ${moved + 1}: found ${found}, expected ${bound} ${axis.unit}. The layout fixes this axis; set it back.`;
    return [finding({ ...part, code: 'breakpointMoved', found, bound, message })];
  });
}

function checkVariant(spec: TableSpec, table: TableContent, variant: string, axesFit: boolean): Finding[] {
  const part = { tableId: spec.id, variant };
  if (!Object.hasOwn(table.values, variant)) {
    const message = `Table '${spec.id}' has no values for '${variant}'. Add them; it holds one set per ${repeatName(spec)}.`;
    return [finding({ ...part, code: 'variantMissing', bound: variant, message })];
  }
  const values = table.values[variant];
  const expected = cellCount(table.axes);
  if (!axesFit || values.length === expected) return [];
  const message = `Table '${spec.id}', ${variant}: found ${values.length} values, expected ${expected} for its axes. Give one value per cell.`;
  return [finding({ ...part, code: 'valueCount', found: values.length, bound: expected, message })];
}
