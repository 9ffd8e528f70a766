import type { TableSpec } from '../layout/layout.js';
import { storableRange } from '../layout/storage.js';
import { axisFaultMessage, findAxisFault } from '../tables/axis-order.js';
import { findRepeated } from './find-repeated.js';
import { type Finding, finding, plain } from './finding.js';
import { DEFAULT_SEVERITIES, isValueCheck } from './severities.js';

/** What is wrong with one table of a layout. */
export function checkTableSpec(spec: TableSpec): Finding[] {
  return [
    ...checkRepeat(spec),
    ...checkAxes(spec),
    ...checkRange(spec),
    ...checkCourse(spec),
    ...checkStepBound(spec),
    ...checkCoil(spec),
    ...checkSeverities(spec),
  ].map((entry) => ({
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

function checkRepeat(spec: TableSpec): Finding[] {
  if (!spec.byProgram || (spec.repeat !== 'program' && spec.repeat !== 'once')) return [];
  const message =
    spec.repeat === 'program'
      ? "it is repeated per program and asks for one more set per program. Leave out 'byProgram'."
      : "it exists once and asks for one more set per program. Leave out 'byProgram' and repeat it per program.";
  return [finding({ code: 'programTwice', found: spec.repeat, message })];
}

function checkStepBound(spec: TableSpec): Finding[] {
  return Object.entries(spec.stepBound ?? {}).flatMap(([kind, bound]: [string, number]) => {
    if (bound > 0 && Number.isFinite(bound)) return [];
    const message = `the ${kind} step bound is ${bound}. State a bound above 0, or none.`;
    return [finding({ code: 'stepBound', found: plain(bound), bound: 0, message })];
  });
}

function checkCoil(spec: TableSpec): Finding[] {
  const { coil, unit } = spec;
  if (!coil) return [];
  if (unit !== 'A') {
    const message = `a coil is given, but the table is in ${unit || 'no unit'}. Give a coil only to a table of currents in A.`;
    return [finding({ code: 'coilUnit', found: unit, bound: 'A', message })];
  }
  const { resistanceOhm, seriesResistanceOhm, lowestVoltageV, highestTemperatureC } = coil;
  const faults: [boolean, string, number][] = [
    [resistanceOhm > 0, 'a winding resistance above 0 Ω', resistanceOhm],
    [seriesResistanceOhm >= 0, 'a series resistance of 0 Ω or more', seriesResistanceOhm],
    [lowestVoltageV > 0, 'a supply above 0 V', lowestVoltageV],
    [highestTemperatureC >= -50 && highestTemperatureC <= 250, 'a winding at −50 to 250 °C', highestTemperatureC],
  ];
  return faults
    .filter(([isSound, , found]) => !(isSound && Number.isFinite(found)))
    .map(([, expected, found]) => {
      return finding({
        code: 'coilSupply',
        found: plain(found),
        message: `the coil has ${found}, expected ${expected}.`,
      });
    });
}

function checkSeverities(spec: TableSpec): Finding[] {
  return Object.entries(spec.severities ?? {}).flatMap(([check, severity]: [string, string]) => {
    if (!isValueCheck(check)) {
      const known = Object.keys(DEFAULT_SEVERITIES).join(', ');
      const message = `'${check}' is no check whose severity can be chosen. Choose from ${known}.`;
      return [finding({ code: 'severityUnknown', found: check, message })];
    }
    if (severity === 'blocking' || severity === 'warning') return [];
    const message = `the severity of '${check}' is '${severity}'. Write 'blocking' or 'warning'.`;
    return [finding({ code: 'severityUnknown', found: severity, message })];
  });
}
