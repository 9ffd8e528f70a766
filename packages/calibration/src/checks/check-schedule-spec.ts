import type { Layout, ShiftSchedule, TableRepeat } from '../layout/layout.js';
import { type Finding, finding, plain } from './finding.js';

/** What is wrong with one shift schedule of a layout: its tables and its bounds. */
export function checkScheduleSpec(schedule: ShiftSchedule, layout: Layout): Finding[] {
  const findings = [
    ...checkLineTable(schedule.upTable, 'upshift', layout),
    ...checkLineTable(schedule.downTable, 'downshift', layout),
    ...checkPrograms(schedule, layout),
    ...checkBounds(schedule),
  ];
  return findings.map((entry) => ({ ...entry, message: `Schedule '${schedule.id}': ${entry.message}` }));
}

function checkLineTable(tableId: string, repeat: TableRepeat, layout: Layout): Finding[] {
  const spec = layout.tables.find((table) => table.id === tableId);
  if (!spec) {
    const message = `it names table '${tableId}', which the layout does not have. Add the table or mend the name.`;
    return [finding({ code: 'scheduleTable', found: tableId, message })];
  }
  const findings: Finding[] = [];
  if (spec.repeat !== repeat) {
    const message = `table '${tableId}' is repeated by '${spec.repeat}', expected '${repeat}'. Use a table with one line per ${repeat}.`;
    findings.push(finding({ code: 'scheduleTable', tableId, found: spec.repeat, bound: repeat, message }));
  }
  if (spec.unit !== 'rpm') {
    const message = `table '${tableId}' is in ${spec.unit || 'no unit'}, expected output speed in rpm. Use a table in rpm.`;
    findings.push(finding({ code: 'scheduleTable', tableId, found: spec.unit, bound: 'rpm', message }));
  }
  const quantities = spec.axes.map((axis) => axis.quantity).join(' and ');
  if (quantities !== 'pedal') {
    const message = `table '${tableId}' runs over ${quantities || 'nothing'}, expected the pedal alone. Give it one axis of pedal.`;
    findings.push(finding({ code: 'scheduleAxis', tableId, found: quantities, bound: 'pedal', message }));
  }
  return findings;
}

function checkPrograms(schedule: ShiftSchedule, layout: Layout): Finding[] {
  const [up, down] = [schedule.upTable, schedule.downTable].map((id) => layout.tables.find((table) => table.id === id));
  if (!up || !down || Boolean(up.byProgram) === Boolean(down.byProgram)) return [];
  const message = `only one of '${up.id}' and '${down.id}' differs by program. Let both or none.`;
  return [finding({ code: 'scheduleTable', tableId: up.byProgram ? down.id : up.id, message })];
}

function checkBounds(schedule: ShiftSchedule): Finding[] {
  const { minHysteresisRpm, minInputSpeedRpm, maxInputSpeedRpm } = schedule;
  const findings: Finding[] = [];
  if (!(minHysteresisRpm >= 0 && Number.isFinite(minHysteresisRpm))) {
    const message = `the least hysteresis is ${minHysteresisRpm} rpm. State 0 rpm or more.`;
    findings.push(finding({ code: 'scheduleBound', found: plain(minHysteresisRpm), bound: 0, message }));
  }
  if (!(minInputSpeedRpm >= 0 && minInputSpeedRpm < maxInputSpeedRpm && Number.isFinite(maxInputSpeedRpm))) {
    const message = `the input speed may lie between ${minInputSpeedRpm} and ${maxInputSpeedRpm} rpm. State a minimum of 0 or more below the maximum.`;
    const [found, bound] = [plain(minInputSpeedRpm), plain(maxInputSpeedRpm)];
    findings.push(finding({ code: 'scheduleBound', found, bound, message }));
  }
  return findings;
}
