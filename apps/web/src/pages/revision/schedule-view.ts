import { CalibrationError, checkSchedules, type Finding, type ShiftLine, scheduleLines } from '@syncline/calibration';
import type { LayoutDocument, PlatformDocument, RevisionContentDocument } from '@syncline/contract';
import type { ScheduleLine, ScheduleMark } from '../../charts/schedule-line.js';
import type { CsvColumn } from '../../format/csv.js';

export type Schedule = NonNullable<LayoutDocument['schedules']>[number];

/** The lines of one schedule in one program, ready to be drawn. */
export interface ScheduleView {
  readonly lines: readonly ScheduleLine[];
  readonly marks: readonly ScheduleMark[];
  /** What the checks object to, one sentence each. */
  readonly objections: readonly string[];
}

interface ScheduleContext {
  readonly layout: LayoutDocument;
  readonly platform: PlatformDocument;
  readonly schedule: Schedule;
  readonly program: string | undefined;
}

/** Whether the lines of a schedule differ by program. */
export function isByProgram(layout: LayoutDocument, schedule: Schedule): boolean {
  return layout.tables.some(
    ({ id, byProgram }) => byProgram === true && [schedule.upTable, schedule.downTable].includes(id),
  );
}

/** Lines of a content, with those of another one thin behind them where they differ. */
export function scheduleView(
  context: ScheduleContext,
  content: RevisionContentDocument,
  before: RevisionContentDocument | null,
): ScheduleView | { readonly why: string } {
  try {
    const lines = drawnLines(context, content, 'strong');
    const old = before === null ? [] : drawnLines(context, before, 'context');
    const findings = objectionsOf(context, content);
    return {
      lines: [...old.filter((line) => !lines.some((now) => isSameLine(now, line))), ...lines],
      marks: findings.flatMap((finding, i) => markOf(content, finding, i)),
      objections: findings.map(({ message }) => message),
    };
  } catch (error) {
    if (error instanceof CalibrationError) return { why: error.message };
    throw error;
  }
}

function drawnLines(
  { layout, platform, schedule, program }: ScheduleContext,
  content: RevisionContentDocument,
  look: ScheduleLine['look'],
): ScheduleLine[] {
  const { upshifts, downshifts } = scheduleLines(layout, platform, content, schedule.id, program);
  return [
    ...upshifts.map((line) => drawnLine(line, true, look)),
    ...downshifts.map((line) => drawnLine(line, false, look)),
  ];
}

/** A downshift line at 0 rpm means never, so there is nothing to draw there. */
function drawnLine(
  { shift, pedal, outputSpeedRpm }: ShiftLine,
  isUp: boolean,
  look: ScheduleLine['look'],
): ScheduleLine {
  const points = pedal.map((at, i) => ({ pedal: at, outputSpeedRpm: outputSpeedRpm[i] as number }));
  return {
    id: `${look} ${shift.id}`,
    label: shift.id,
    isUp,
    look,
    points: isUp ? points : points.filter((point) => point.outputSpeedRpm > 0),
  };
}

function isSameLine(one: ScheduleLine, other: ScheduleLine): boolean {
  return one.label === other.label && JSON.stringify(one.points) === JSON.stringify(other.points);
}

/** Findings about this schedule in this program. */
function objectionsOf({ layout, platform, schedule, program }: ScheduleContext, content: RevisionContentDocument) {
  const tables = [schedule.upTable, schedule.downTable];
  return checkSchedules({ ...layout, schedules: [schedule] }, platform, content).filter(
    ({ tableId, variant }) =>
      tableId !== null && tables.includes(tableId) && (program === undefined || isOfProgram(variant, program)),
  );
}

function isOfProgram(variant: string | null, program: string): boolean {
  return variant === null || !variant.includes('/') || variant.endsWith(`/${program}`);
}

function markOf(
  content: RevisionContentDocument,
  { tableId, variant, cell, code }: Finding,
  index: number,
): ScheduleMark[] {
  const table = tableId === null ? undefined : content.tables[tableId];
  const pedal = table?.axes[0]?.[cell?.column ?? -1];
  const outputSpeedRpm = variant === null ? undefined : table?.values[variant]?.[cell?.column ?? -1];
  if (pedal === undefined || outputSpeedRpm === undefined) return [];
  const kind = code === 'scheduleCrossing' ? 'crossing' : 'other';
  return [{ id: `${index}`, kind, pedal, outputSpeedRpm }];
}

interface ScheduleCsvRow {
  readonly shift: string;
  readonly direction: string;
  readonly pedal: number;
  readonly outputSpeedRpm: number;
}

/** One row for each node of the lines shown. */
export function scheduleCsvRows({ lines }: ScheduleView): ScheduleCsvRow[] {
  return lines
    .filter(({ look }) => look === 'strong')
    .flatMap(({ label, isUp, points }) =>
      points.map((point) => ({ shift: label, direction: isUp ? 'up' : 'down', ...point })),
    );
}

export const SCHEDULE_CSV_COLUMNS: readonly CsvColumn<ScheduleCsvRow>[] = [
  { header: 'shift', cell: ({ shift }) => shift },
  { header: 'direction', cell: ({ direction }) => direction },
  { header: 'pedal (%)', cell: ({ pedal }) => pedal },
  { header: 'output speed (rpm)', cell: ({ outputSpeedRpm }) => outputSpeedRpm },
];
