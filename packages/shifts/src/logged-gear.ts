import type { GearLines } from './gear-lines.js';
import type { SampleWindow } from './sample-window.js';

/** A target that changed longer than this before the old gear was left is a pre-selection, not the command (s). */
export const LONGEST_DELAY_S = 2.5;
/** A logged gear may stand this far from a whole number; averaging makes fractions, and a fraction names no gear. */
const WHOLE_GEAR = 0.05;
/** Neutral must be logged this long to count: some cars log it for a moment inside a shift (s). */
const NEUTRAL_S = 0.3;

/** A change of the logged target that a shift answers to. */
export interface TargetChange {
  readonly index: number;
  readonly timeS: number;
  /** Line asked for. */
  readonly askedLine: number;
}

/** Samples of the window, `endIndex` exclusive, between two times. */
export interface Stretch {
  readonly fromIndex: number;
  readonly endIndex: number;
  readonly fromS: number;
  readonly untilS: number;
}

/**
 * Line of a logged gear: -1 for neutral or reverse, null when the code names no gear (missing, fraction, or a code
 * beyond the gears of the platform, which logs use for "between gears").
 */
function loggedLine(value: number, lines: GearLines): number | null {
  const gear = Math.round(value);
  if (!(Math.abs(value - gear) <= WHOLE_GEAR)) return null;
  if (gear <= 0) return -1;
  const line = lines.lineOf(gear);
  return line < 0 ? null : line;
}

/**
 * The command of a shift as logged: the last change of `gearTarget` away from the old gear that was not taken back
 * within the stretch (`isTakenBack` asks for one that was), or else the last change to the new gear. Null without one.
 */
export function findTargetChange(
  window: SampleWindow,
  lines: GearLines,
  shift: { readonly fromLine: number; readonly toLine: number | null; readonly isTakenBack?: boolean },
  stretch: Stretch,
): TargetChange | null {
  const targets = window.columns.gearTarget;
  if (targets === undefined) return null;
  let held: number | null = null;
  let away: TargetChange | null = null;
  let toNew: TargetChange | null = null;
  let before = Number.NaN;
  const { from, to } = slotsOf(window, stretch);
  for (let slot = from; slot < to; slot++) {
    const target = targets[slot] as number;
    if (target === before) continue;
    before = target;
    const line = loggedLine(target, lines);
    if (line === null || line === held) continue;
    if (held !== null) {
      const change = { index: slot + window.firstIndex, timeS: window.clockS[slot] as number, askedLine: line };
      if (line === shift.fromLine) away = shift.isTakenBack ? away : null;
      else if (held === shift.fromLine && line >= 0) away = change;
      if (line === shift.toLine) toNew = change;
    }
    held = line;
  }
  return away ?? toNew;
}

/** The line last asked for within the stretch; null when none is logged. */
export function lastTargetLine(window: SampleWindow, lines: GearLines, stretch: Stretch): number | null {
  const targets = window.columns.gearTarget;
  if (targets === undefined) return null;
  const { from, to } = slotsOf(window, stretch);
  for (let slot = to - 1; slot >= from; slot--) {
    const line = loggedLine(targets[slot] as number, lines);
    if (line !== null) return line;
  }
  return null;
}

/** Whether neutral or reverse is asked for at the end, or was logged, as gear or target, for longer than in a shift. */
export function isNeutralLogged(window: SampleWindow, lines: GearLines, stretch: Stretch): boolean {
  if (lastTargetLine(window, lines, stretch) === -1) return true;
  const { from, to } = slotsOf(window, stretch);
  return [window.columns.gearTarget, window.columns.gear].some((column) => {
    let sinceS = Number.NaN;
    let gear = Number.NaN;
    let isNeutral = false;
    for (let slot = from; column !== undefined && slot < to; slot++) {
      if (column[slot] !== gear) {
        gear = column[slot] as number;
        isNeutral = loggedLine(gear, lines) === -1;
      }
      if (!isNeutral) sinceS = Number.NaN;
      else if (Number.isNaN(sinceS)) sinceS = window.clockS[slot] as number;
      if ((window.clockS[slot] as number) - sinceS >= NEUTRAL_S) return true;
    }
    return false;
  });
}

/** Slots of the window, `to` exclusive. */
export type Slots = { readonly from: number; readonly to: number };

/** The slots that a stretch takes. */
export function slotsOf(window: SampleWindow, { fromIndex, endIndex, fromS, untilS }: Stretch): Slots {
  const { clockS, firstIndex } = window;
  const leastSlot = Math.max(0, fromIndex - firstIndex);
  let to = endIndex - firstIndex;
  while (to > leastSlot && (clockS[to - 1] as number) > untilS) to--;
  let from = to;
  while (from > leastSlot && (clockS[from - 1] as number) >= fromS) from--;
  return { from, to };
}
