import { CalibrationError } from '../calibration-error.js';
import type { RevisionContent } from '../document/content.js';
import type { Layout, ShiftSchedule } from '../layout/layout.js';
import type { Platform, ShiftKind } from '../layout/platform.js';
import { variantAt } from '../layout/variants.js';
import { getTableContent, getTableSpec, getVariantValues, missingCoordinate } from '../tables/find-table.js';

/** Where a shift is commanded: at or above the line for an upshift, at or below it for a downshift. */
export interface ShiftLine {
  readonly shift: ShiftKind;
  readonly tableId: string;
  readonly variant: string;
  /** Break points (%), rising, and the output speed at each (rpm); straight between them, flat outside. */
  readonly pedal: readonly number[];
  readonly outputSpeedRpm: readonly number[];
}

/** The lines of one schedule in one program, in the platform's order of shifts. */
export interface ScheduleLines {
  readonly upshifts: readonly ShiftLine[];
  readonly downshifts: readonly ShiftLine[];
}

/**
 * The shift lines that content draws. Throws `unknownSchedule`; `missingCoordinate` where the lines differ by program
 * and none is given; and as look-ups do where a table or variant is missing.
 */
export function scheduleLines(
  layout: Layout,
  platform: Platform,
  content: RevisionContent,
  scheduleId: string,
  program?: string,
): ScheduleLines {
  const schedule = getSchedule(layout, scheduleId);
  const lines = (tableId: string, isOfTable: (shift: ShiftKind) => boolean) =>
    platform.shifts.filter(isOfTable).map((shift) => lineOf(layout, content, tableId, shift, program));
  return { upshifts: lines(schedule.upTable, isUpshift), downshifts: lines(schedule.downTable, isDownshift) };
}

/** The layout's schedule of that id; throws `unknownSchedule`. */
export function getSchedule(layout: Layout, scheduleId: string): ShiftSchedule {
  const schedule = layout.schedules?.find((entry) => entry.id === scheduleId);
  if (schedule) return schedule;
  const known = layout.schedules?.map((entry) => `'${entry.id}'`).join(', ') || 'none';
  throw new CalibrationError(
    'unknownSchedule',
    `Layout version ${layout.version} of '${layout.platformId}' has no schedule '${scheduleId}'; its schedules: ${known}.`,
  );
}

/** The programs in which a schedule's lines differ; one undefined where they hold for all. */
export function programsOf(layout: Layout, platform: Platform, schedule: ShiftSchedule): (string | undefined)[] {
  return getTableSpec(layout, schedule.upTable).byProgram
    ? platform.programs.map((program) => program.id)
    : [undefined];
}

function isUpshift(shift: ShiftKind): boolean {
  return shift.to > shift.from;
}

function isDownshift(shift: ShiftKind): boolean {
  return shift.to < shift.from;
}

function lineOf(
  layout: Layout,
  content: RevisionContent,
  tableId: string,
  shift: ShiftKind,
  program: string | undefined,
): ShiftLine {
  const spec = getTableSpec(layout, tableId);
  const asked = variantAt(spec, { shift: shift.id, program });
  if ('missing' in asked) throw missingCoordinate(tableId, asked.missing);
  const table = getTableContent(content, tableId);
  const outputSpeedRpm = getVariantValues(spec, table, asked.variant);
  return { shift, tableId, variant: asked.variant, pedal: table.axes[0], outputSpeedRpm };
}
