import { axisFaultMessage, findAxisFault } from './axis-order.js';
import { checkRule } from './check-rule.js';
import { findRepeated } from './find-repeated.js';
import { type Finding, finding, plain } from './finding.js';
import type { Layout, TableSpec } from './layout.js';
import type { Platform } from './platform.js';
import { storableRange } from './storage.js';

/** What is wrong with a layout in itself; empty for a layout that calibrations may be built on. */
export function checkLayout(layout: Layout, platform: Platform): Finding[] {
  return [
    ...checkPlatform(layout, platform),
    ...findRepeated(layout.tables.map((table) => table.id)).map((id) => duplicate('table', id)),
    ...findRepeated(layout.rules.map((rule) => rule.id)).map((id) => duplicate('rule', id)),
    ...layout.tables.flatMap((spec) => checkTableSpec(spec)),
    ...layout.rules.flatMap((rule) => checkRule(rule, layout)),
  ];
}

function checkPlatform(layout: Layout, platform: Platform): Finding[] {
  if (layout.platformId === platform.id) return [];
  const message = `The layout is for platform '${layout.platformId}', not '${platform.id}'. Choose the layout's platform.`;
  return [finding({ code: 'otherPlatform', found: layout.platformId, bound: platform.id, message })];
}

function duplicate(kind: 'table' | 'rule', id: string): Finding {
  const message = `The ${kind} id '${id}' is used more than once. Give each ${kind} its own id.`;
  return finding({ code: 'duplicateId', tableId: kind === 'table' ? id : null, found: id, message });
}

function checkTableSpec(spec: TableSpec): Finding[] {
  return [...checkAxes(spec), ...checkRange(spec), ...checkCourse(spec)].map((entry) => ({
    ...entry,
    tableId: spec.id,
    message: `Table '${spec.id}': ${entry.message}`,
  }));
}

function checkAxes(spec: TableSpec): Finding[] {
  const findings: Finding[] = [];
  if (spec.axes.length > 2) {
    const message = `it has ${spec.axes.length} axes, at most 2 are possible. Split it into tables of one rule.`;
    findings.push(finding({ code: 'axisCount', found: spec.axes.length, bound: 2, message }));
  }
  for (const axis of spec.axes) {
    if (axis.breakpoints.length === 0) {
      const message = `axis '${axis.title}' has no break points. Give it at least one.`;
      findings.push(finding({ code: 'axisEmpty', found: 0, bound: 1, message }));
    }
    const at = findAxisFault(axis.breakpoints);
    if (at >= 0) {
      const message = axisFaultMessage(axis.title, axis.breakpoints, at);
      findings.push(finding({ code: 'axisOrder', found: plain(axis.breakpoints[at]), message }));
    }
  }
  for (const quantity of findRepeated(spec.axes.map((axis) => axis.quantity))) {
    const message = `two axes run over '${quantity}'. Let each axis have a quantity of its own.`;
    findings.push(finding({ code: 'axisRepeats', found: quantity, message }));
  }
  return findings;
}

function checkRange(spec: TableSpec): Finding[] {
  const { limits, storage, defaultValue, unit } = spec;
  if (!(storage.resolution > 0 && Number.isFinite(storage.resolution) && Number.isFinite(storage.offset))) {
    const message = `storage has resolution ${storage.resolution} and offset ${storage.offset}; both must be finite and the resolution above 0.`;
    return [finding({ code: 'resolution', found: plain(storage.resolution), bound: 0, message })];
  }
  if (!(limits.min <= limits.max && Number.isFinite(limits.min) && Number.isFinite(limits.max))) {
    const message = `limits run from ${limits.min} to ${limits.max}. State a finite minimum that is not above the maximum.`;
    return [finding({ code: 'limitsOrder', found: plain(limits.min), bound: plain(limits.max), message })];
  }
  const findings: Finding[] = [];
  const storable = storableRange(storage);
  const slack = storage.resolution / 2;
  if (limits.min < storable.min - slack || limits.max > storable.max + slack) {
    const message =
      `limits ${limits.min} to ${limits.max} ${unit} exceed what ${storage.type} storage can hold ` +
      `(${storable.min} to ${storable.max} ${unit}). Narrow the limits or choose another storage type, resolution or offset.`;
    const [found, bound] = limits.min < storable.min - slack ? [limits.min, storable.min] : [limits.max, storable.max];
    findings.push(finding({ code: 'limitsNotStorable', found, bound, message }));
  }
  if (!(defaultValue >= limits.min && defaultValue <= limits.max)) {
    const message = `the default ${defaultValue} ${unit} is outside ${limits.min} to ${limits.max} ${unit}. Move the default or the limits.`;
    const bound = defaultValue > limits.max ? limits.max : limits.min;
    findings.push(finding({ code: 'defaultOutsideLimits', found: plain(defaultValue), bound, message }));
  }
  return findings;
}

function checkCourse(spec: TableSpec): Finding[] {
  const findings: Finding[] = [];
  for (const { axis } of [...spec.monotone, ...spec.slopeLimits]) {
    if (Number.isInteger(axis) && axis >= 0 && axis < spec.axes.length) continue;
    const message = `a course or slope is demanded along axis ${axis}, but there are ${spec.axes.length} axes (counted from 0).`;
    findings.push(finding({ code: 'checkAxis', found: axis, bound: spec.axes.length - 1, message }));
  }
  for (const { axis, maxPerUnit } of spec.slopeLimits) {
    if (maxPerUnit >= 0) continue;
    const message = `the slope limit along axis ${axis} is ${maxPerUnit}. State a bound of 0 or more.`;
    findings.push(finding({ code: 'slopeBound', found: plain(maxPerUnit), bound: 0, message }));
  }
  return findings;
}
