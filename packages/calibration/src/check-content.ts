import { axisFaultMessage, findAxisFault } from './axis-order.js';
import { checkValues } from './check-values.js';
import type { RevisionContent, TableContent } from './content.js';
import { cellCount } from './default-content.js';
import { type Finding, finding, plain } from './finding.js';
import type { Layout, TableSpec } from './layout.js';
import type { Platform } from './platform.js';
import { variantsOf } from './variants.js';

/**
 * Everything in which content departs from its layout: shape, axes, limits, required course, slopes, storage.
 * Empty for content that may become a revision; only `blocking` findings forbid it. Values are looked at only where
 * the shape of their table is right. The number of findings is bounded by that of cells times that of checks.
 */
export function checkContent(layout: Layout, platform: Platform, content: RevisionContent): Finding[] {
  const known = new Set(layout.tables.map((spec) => spec.id));
  const unknown = Object.keys(content.tables).filter((id) => !known.has(id));
  return [
    ...checkOrigin(layout, content),
    ...unknown.map((tableId) => {
      const message = `Table '${tableId}' is not in layout version ${layout.version}. Remove it or mend its name.`;
      return finding({ code: 'tableUnknown', tableId, found: tableId, message });
    }),
    ...layout.tables.flatMap((spec) => {
      const table = Object.hasOwn(content.tables, spec.id) ? content.tables[spec.id] : undefined;
      return table ? checkTable(spec, platform, table) : [missingTable(spec)];
    }),
  ];
}

function checkOrigin(layout: Layout, content: RevisionContent): Finding[] {
  if (content.platformId === layout.platformId && content.layoutVersion === layout.version) return [];
  const found = `${content.platformId}, layout version ${content.layoutVersion}`;
  const bound = `${layout.platformId}, layout version ${layout.version}`;
  const message = `The content is for ${found}; expected ${bound}. Choose that layout or move the content to it.`;
  return [finding({ code: 'otherLayout', found, bound, message })];
}

function missingTable(spec: TableSpec): Finding {
  const message = `Table '${spec.id}' (${spec.title}) is missing. Add it; its default is ${spec.defaultValue} ${spec.unit}.`;
  return finding({ code: 'tableMissing', tableId: spec.id, bound: spec.id, message });
}

function checkTable(spec: TableSpec, platform: Platform, table: TableContent): Finding[] {
  const axisFindings = checkTableAxes(spec, table);
  const variants = variantsOf(spec, platform);
  const unknown = Object.keys(table.values).filter((variant) => !variants.includes(variant));
  const axesFit = axisFindings.every((entry) => entry.code === 'breakpointMoved');
  return [
    ...axisFindings,
    ...unknown.map((variant) => {
      const message = `Table '${spec.id}' has values for '${variant}', which is no ${spec.repeat} of the platform. Remove them; known are ${variants.join(', ')}.`;
      return finding({ code: 'variantUnknown', tableId: spec.id, variant, found: variant, message });
    }),
    ...variants.flatMap((variant) => checkVariant(spec, table, variant, axesFit)),
  ];
}

function checkTableAxes(spec: TableSpec, table: TableContent): Finding[] {
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
    const message = `Table '${spec.id}' has no values for '${variant}'. Add them; it holds one set per ${spec.repeat}.`;
    return [finding({ ...part, code: 'variantMissing', bound: variant, message })];
  }
  if (!axesFit) return [];
  const values = table.values[variant];
  const expected = cellCount(table.axes);
  if (values.length !== expected) {
    const message = `Table '${spec.id}', ${variant}: found ${values.length} values, expected ${expected} for its axes. Give one value per cell.`;
    return [finding({ ...part, code: 'valueCount', found: values.length, bound: expected, message })];
  }
  return checkValues({ spec, axes: table.axes, variant, values });
}
