import { type CheckedValues, valueFinding } from '../checks/cell-finding.js';
import { areAxesSound, checkShape } from '../checks/check-shape.js';
import { type Finding, shown } from '../checks/finding.js';
import type { RevisionContent } from '../document/content.js';
import type { Layout, ShiftSchedule, ValueCheck } from '../layout/layout.js';
import type { Platform } from '../layout/platform.js';
import { getTableSpec } from '../tables/find-table.js';
import { interpolateLine } from '../tables/interpolate.js';
import { programsOf, type ScheduleLines, type ShiftLine, scheduleLines } from './schedule-lines.js';

/** A distance may fall short of its bound by this (rpm), so that decimal fractions that meet it exactly pass. */
const ROUNDING_RPM = 1e-6;

/**
 * What is wrong with the shift schedules of content, per program:
 * - `scheduleCrossing` where one shift would call for the next at the same pedal and speed: an upshift for a downshift
 *   of the new gear or the other way round, an upshift for the next upshift, a downshift for the next downshift;
 * - `scheduleHunting` where the line of an upshift and that of the way back are less than the hysteresis apart;
 * - `engineTooSlow` after an upshift, `engineTooFast` after a downshift, by input speed = ratio · output speed, which
 *   the engine shares once the converter is locked.
 * Lines are straight between break points, so looking at the break points of both is exact. A downshift line at 0 rpm
 * means never. Schedules whose tables have wrong shape or missing numbers are left to `checkTable`.
 */
export function checkSchedules(layout: Layout, platform: Platform, content: RevisionContent): Finding[] {
  return (layout.schedules ?? [])
    .filter((schedule) =>
      [schedule.upTable, schedule.downTable].every((id) => canBeRead(layout, platform, content, id)),
    )
    .flatMap((schedule) =>
      programsOf(layout, platform, schedule).flatMap((program) => {
        const lines = scheduleLines(layout, platform, content, schedule.id, program);
        const checked: CheckedSchedule = { layout, platform, schedule, lines };
        return [...checkOrder(checked), ...checkInputSpeeds(checked)];
      }),
    );
}

interface CheckedSchedule {
  readonly layout: Layout;
  readonly platform: Platform;
  readonly schedule: ShiftSchedule;
  readonly lines: ScheduleLines;
}

/** Two lines that must keep their order, and why. */
interface LinePair {
  readonly lower: ShiftLine;
  readonly upper: ShiftLine;
  /** Distance that is asked for (rpm); 0 where it is enough not to meet. */
  readonly hysteresisRpm: number;
}

function canBeRead(layout: Layout, platform: Platform, content: RevisionContent, tableId: string): boolean {
  const spec = getTableSpec(layout, tableId);
  if (!Object.hasOwn(content.tables, tableId)) return false;
  const table = content.tables[tableId];
  const shape = checkShape(spec, platform, table).filter((entry) => entry.code !== 'variantUnknown');
  return (
    areAxesSound(shape) &&
    shape.every((entry) => entry.variant === null) &&
    Object.values(table.values).every((values) => values.every(Number.isFinite))
  );
}

function checkOrder(checked: CheckedSchedule): Finding[] {
  const { upshifts, downshifts } = checked.lines;
  const { minHysteresisRpm } = checked.schedule;
  const pairs: LinePair[] = [
    ...upshifts.flatMap((upper) =>
      downshifts
        .filter(({ shift }) => upper.shift.to === shift.from || shift.to === upper.shift.from)
        .map((lower) => ({ lower, upper, hysteresisRpm: isWayBack(upper, lower) ? minHysteresisRpm : 0 })),
    ),
    ...upshifts.flatMap((lower) =>
      upshifts
        .filter(({ shift }) => shift.from === lower.shift.to)
        .map((upper) => ({ lower, upper, hysteresisRpm: 0 })),
    ),
    ...downshifts.flatMap((upper) =>
      downshifts
        .filter(({ shift }) => shift.from === upper.shift.to)
        .map((lower) => ({ lower, upper, hysteresisRpm: 0 })),
    ),
  ];
  return pairs.flatMap((pair) => checkPair(checked, pair));
}

function checkPair(checked: CheckedSchedule, pair: LinePair): Finding[] {
  const { lower, upper, hysteresisRpm } = pair;
  const pedals = [...new Set([...upper.pedal, ...lower.pedal])].sort((a, b) => a - b);
  return pedals.flatMap((pedal) => {
    const [upperRpm, lowerRpm] = [rpmAt(upper, pedal), rpmAt(lower, pedal)];
    if (isNever(upper, upperRpm) || isNever(lower, lowerRpm)) return [];
    const distanceRpm = upperRpm - lowerRpm;
    if (distanceRpm <= 0) return [pairFinding(checked, pair, pedal, 'scheduleCrossing')];
    if (distanceRpm < hysteresisRpm - ROUNDING_RPM) return [pairFinding(checked, pair, pedal, 'scheduleHunting')];
    return [];
  });
}

/** A finding at the cell of the upper line, or of the lower one where only that has a break point at the pedal. */
function pairFinding(checked: CheckedSchedule, pair: LinePair, pedal: number, check: ValueCheck): Finding {
  const isAtUpper = pair.upper.pedal.includes(pedal);
  const [here, there] = isAtUpper ? [pair.upper, pair.lower] : [pair.lower, pair.upper];
  const index = here.pedal.indexOf(pedal);
  const distanceRpm = check === 'scheduleCrossing' ? 0 : pair.hysteresisRpm;
  const bound = rpmAt(there, pedal) + (isAtUpper ? distanceRpm : -distanceRpm);
  const side = isAtUpper ? 'more' : 'less';
  const relation = check === 'scheduleCrossing' ? `${side} than` : `at ${isAtUpper ? 'least' : 'most'}`;
  const follows =
    check === 'scheduleCrossing'
      ? `the lines of ${pair.lower.shift.id} and ${pair.upper.shift.id} must not meet, for one shift would call for the other`
      : `${pair.hysteresisRpm} rpm from the line of ${there.shift.id}, for closer the gearbox hunts`;
  const message =
    `found ${here.outputSpeedRpm[index]}, expected ${relation} ${shown(bound)} rpm: ${follows}. ` +
    `${isAtUpper ? 'Raise' : 'Lower'} the value or ${isAtUpper ? 'lower' : 'raise'} ${there.shift.id} in table '${there.tableId}'.`;
  return valueFinding(checkedLine(checked.layout, here), index, check, { bound, message });
}

function checkInputSpeeds(checked: CheckedSchedule): Finding[] {
  const { minInputSpeedRpm, maxInputSpeedRpm } = checked.schedule;
  return [
    ...checked.lines.upshifts.flatMap((line) =>
      checkInputSpeed(checked, line, 'engineTooSlow', (inputRpm) => inputRpm < minInputSpeedRpm - ROUNDING_RPM),
    ),
    ...checked.lines.downshifts.flatMap((line) =>
      checkInputSpeed(checked, line, 'engineTooFast', (inputRpm) => inputRpm > maxInputSpeedRpm + ROUNDING_RPM),
    ),
  ];
}

function checkInputSpeed(
  checked: CheckedSchedule,
  line: ShiftLine,
  check: 'engineTooSlow' | 'engineTooFast',
  isFault: (inputRpm: number) => boolean,
): Finding[] {
  const ratio = checked.platform.gears.find((entry) => entry.gear === line.shift.to)?.ratio;
  if (ratio === undefined) return [];
  const { minInputSpeedRpm, maxInputSpeedRpm } = checked.schedule;
  const limitRpm = check === 'engineTooSlow' ? minInputSpeedRpm : maxInputSpeedRpm;
  const [least, remedy] = check === 'engineTooSlow' ? ['at least', 'Raise'] : ['at most', 'Lower'];
  return line.outputSpeedRpm.flatMap((rpm, index) => {
    const inputRpm = ratio * rpm;
    if (!isFault(inputRpm)) return [];
    const bound = limitRpm / ratio;
    const message =
      `found ${rpm}, expected ${least} ${shown(bound)} rpm: after the shift the input shaft, and with it the engine once ` +
      `the converter is locked, turns at ${shown(inputRpm)} rpm, allowed is ${least} ${limitRpm}. ${remedy} the value.`;
    return [valueFinding(checkedLine(checked.layout, line), index, check, { bound, message })];
  });
}

function rpmAt(line: ShiftLine, pedal: number): number {
  return interpolateLine(line.pedal, line.outputSpeedRpm, pedal);
}

/** Whether the downshift undoes the upshift. */
function isWayBack(up: ShiftLine, down: ShiftLine): boolean {
  return up.shift.from === down.shift.to && up.shift.to === down.shift.from;
}

function isNever(line: ShiftLine, rpm: number): boolean {
  return line.shift.to < line.shift.from && rpm <= 0;
}

function checkedLine(layout: Layout, line: ShiftLine): CheckedValues {
  const { variant, pedal, outputSpeedRpm } = line;
  return { spec: getTableSpec(layout, line.tableId), axes: [pedal], variant, values: outputSpeedRpm };
}
