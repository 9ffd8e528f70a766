import type { RevisionContent } from '../document/content.js';
import type { Layout } from '../layout/layout.js';
import type { Platform } from '../layout/platform.js';
import { missingCoordinate } from '../tables/find-table.js';
import { interpolateLine } from '../tables/interpolate.js';
import { getSchedule, programsOf, type ShiftLine, scheduleLines } from './schedule-lines.js';

/** A stretch of a recorded drive, sample by sample; all columns of equal length. NaN where a value is missing. */
export interface DriveSamples {
  /** Rising; samples that do not come later than the one before are left out (s). */
  readonly timeS: ArrayLike<number>;
  /** %. */
  readonly pedal: ArrayLike<number>;
  /** rpm. */
  readonly outputSpeed: ArrayLike<number>;
  /** Gear that was in; 0 and below for neutral, park and reverse. */
  readonly gear: ArrayLike<number>;
  /** Codes of the program signal, for schedules that differ by program. */
  readonly programCode?: ArrayLike<number>;
}

export interface ReplayOptions {
  /** Least time from one commanded shift to the next (s): how long a shift takes and settles. Default 1. */
  readonly dwellS?: number;
  /** After a longer gap between samples (s) the recorded gear counts again. Default 2. */
  readonly longestGapS?: number;
  /** Replay in this program whatever was recorded. Default: the recorded program. */
  readonly program?: string;
}

/** A shift that the schedule would have commanded. */
export interface ReplayedShift {
  /** Shift id such as `3-4`. */
  readonly kind: string;
  readonly timeS: number;
  /** As recorded at that moment (%, rpm). */
  readonly pedal: number;
  readonly outputSpeedRpm: number;
}

export interface ScheduleReplay {
  readonly shifts: readonly ReplayedShift[];
  /** Samples at which the schedule was asked, or waited out the dwell. */
  readonly decidedCount: number;
  /** Samples left out: no forward gear, a missing value, an unknown program, time that does not rise. */
  readonly undecidedCount: number;
  /** How often the recorded gear was taken over: at the start, after a gap, after neutral. */
  readonly takeoverCount: number;
}

const DEFAULT_DWELL_S = 1;
const DEFAULT_LONGEST_GAP_S = 2;

/**
 * The shifts that a schedule would have commanded over a recorded drive. Pedal and output speed are taken as recorded,
 * though in another gear the car and its driver would have gone on differently: trust the places where a shift moves, not a
 * chain of consequences. It begins in the recorded gear and then follows its own; a shift is in at once and
 * nothing further is commanded for the dwell. A line that is met commands the shift, of several the one that goes
 * furthest, an upshift before a downshift; a downshift line at 0 rpm means never. To compare two schedules, replay both.
 * One pass, O(samples). Throws `unknownSchedule`, `missingCoordinate` where the schedule differs by program and neither
 * samples nor options say which, and as `scheduleLines` does.
 */
export function replaySchedule(
  layout: Layout,
  platform: Platform,
  content: RevisionContent,
  scheduleId: string,
  drive: DriveSamples,
  options: ReplayOptions = {},
): ScheduleReplay {
  const replay = createScheduleReplay(layout, platform, content, scheduleId, options);
  replay.feed(drive);
  return replay.result();
}

/** `replaySchedule` for a drive that comes in stretches, fed in their order. */
export function createScheduleReplay(
  layout: Layout,
  platform: Platform,
  content: RevisionContent,
  scheduleId: string,
  options: ReplayOptions = {},
): { readonly feed: (drive: DriveSamples) => void; readonly result: () => ScheduleReplay } {
  const { dwellS = DEFAULT_DWELL_S, longestGapS = DEFAULT_LONGEST_GAP_S } = options;
  const linesAt = compileLines(layout, platform, content, scheduleId, options.program);
  const shifts: ReplayedShift[] = [];
  const counts = { decidedCount: 0, undecidedCount: 0, takeoverCount: 0 };
  /** The gear that the replay is in; 0 when it has to take over the recorded one. */
  let gear = 0;
  let lastTimeS = Number.NEGATIVE_INFINITY;
  let readyAtS = Number.NEGATIVE_INFINITY;

  /** Follows the drive to one sample; false where nothing can be decided. */
  function step(drive: DriveSamples, i: number): boolean {
    const timeS = drive.timeS[i];
    if (!(timeS > lastTimeS)) return false;
    if (timeS - lastTimeS > longestGapS) gear = 0;
    lastTimeS = timeS;
    const recordedGear = drive.gear[i];
    if (recordedGear <= 0) gear = 0;
    if (gear === 0) {
      if (!(recordedGear > 0)) return false;
      gear = recordedGear;
      readyAtS = timeS;
      counts.takeoverCount++;
    }
    if (timeS < readyAtS) return true;
    const pedal = drive.pedal[i];
    const outputSpeedRpm = drive.outputSpeed[i];
    const lines = linesAt(gear, drive.programCode?.[i]);
    if (!lines || Number.isNaN(pedal) || Number.isNaN(outputSpeedRpm)) return false;
    const met = lines.find((line) => isMet(line, pedal, outputSpeedRpm));
    if (!met) return true;
    shifts.push({ kind: met.shift.id, timeS, pedal, outputSpeedRpm });
    gear = met.shift.to;
    readyAtS = timeS + dwellS;
    return true;
  }

  return {
    feed(drive) {
      for (let i = 0; i < drive.timeS.length; i++) {
        if (step(drive, i)) counts.decidedCount++;
        else counts.undecidedCount++;
      }
    },
    result: () => ({ shifts: [...shifts], ...counts }),
  };
}

type LinesAt = (gear: number, programCode: number | undefined) => readonly ShiftLine[] | undefined;

/** The lines that leave a gear in a program, in the order in which they are asked; undefined for an unknown program. */
function compileLines(
  layout: Layout,
  platform: Platform,
  content: RevisionContent,
  scheduleId: string,
  fixedProgram: string | undefined,
): LinesAt {
  const schedule = getSchedule(layout, scheduleId);
  const byGear = (program: string | undefined) => {
    const { upshifts, downshifts } = scheduleLines(layout, platform, content, scheduleId, program);
    const leaving = (gear: number) => [
      ...upshifts.filter(({ shift }) => shift.from === gear).sort((a, b) => b.shift.to - a.shift.to),
      ...downshifts.filter(({ shift }) => shift.from === gear).sort((a, b) => a.shift.to - b.shift.to),
    ];
    return new Map(platform.gears.map(({ gear }) => [gear, leaving(gear)]));
  };
  const programs = programsOf(layout, platform, schedule);
  if (fixedProgram !== undefined || programs[0] === undefined) {
    const lines = byGear(fixedProgram);
    return (gear) => lines.get(gear) ?? [];
  }
  const byCode = new Map(platform.programs.map((program) => [program.code, byGear(program.id)]));
  return (gear, programCode) => {
    if (programCode === undefined) throw missingCoordinate(schedule.upTable, 'program');
    const lines = byCode.get(programCode);
    return lines && (lines.get(gear) ?? []);
  };
}

function isMet(line: ShiftLine, pedal: number, outputSpeedRpm: number): boolean {
  const rpm = interpolateLine(line.pedal, line.outputSpeedRpm, pedal);
  return line.shift.to > line.shift.from ? outputSpeedRpm >= rpm : rpm > 0 && outputSpeedRpm <= rpm;
}
