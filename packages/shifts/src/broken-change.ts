import type { GearLines } from './gear-lines.js';
import { findTargetChange, LONGEST_DELAY_S, lastTargetLine, type Stretch, slotsOf } from './logged-gear.js';
import type { SampleWindow } from './sample-window.js';

/** A departure counts from this many samples beyond its threshold on: fewer are strays. */
const LEAST_SAMPLES = 3;
/** Asked for by the log, a departure of this many tolerances is a change begun. */
const BEGUN_TOLERANCES = 2;
/** Not asked for by the log, the speeds must have gone this share of the way to the next line and come back. */
const ABANDONED_SHARE = 0.4;
/** When the log breaks off, this share of the way shows where a change was heading. */
const HEADING_SHARE = 0.15;

/** The line that a change of mind was heading for before it went back to its old gear (-1: there was no change). */
export function abandonedLine(window: SampleWindow, lines: GearLines, fromLine: number, absence: Stretch): number {
  const before = { ...absence, fromS: absence.fromS - LONGEST_DELAY_S };
  const lastTarget = lastTargetLine(window, lines, before);
  if (lastTarget !== null) {
    if (lastTarget !== fromLine) return -1;
    const asked = findTargetChange(window, lines, { fromLine, toLine: null, isTakenBack: true }, before);
    if (asked === null) return -1;
    const threshold = (outputRpm: number): number => BEGUN_TOLERANCES * lines.toleranceRpm(fromLine, outputRpm);
    return isBeyond(window, lines, { fromLine, toLine: asked.askedLine, threshold }, absence) ? asked.askedLine : -1;
  }
  return (
    neighbours(lines, fromLine).find((toLine) => hasGone(window, lines, fromLine, toLine, ABANDONED_SHARE, absence)) ??
    -1
  );
}

/**
 * The line that a change was heading for when the log broke off: what the target asks for, else the neighbour that
 * the input speed was moving to (-1: none).
 */
export function headingLine(window: SampleWindow, lines: GearLines, fromLine: number, absence: Stretch): number {
  return (
    neighbours(lines, fromLine).find((toLine) => hasGone(window, lines, fromLine, toLine, HEADING_SHARE, absence)) ?? -1
  );
}

function neighbours(lines: GearLines, line: number): number[] {
  return [line + 1, line - 1].filter((other) => other >= 0 && other < lines.gears.length);
}

function hasGone(
  window: SampleWindow,
  lines: GearLines,
  fromLine: number,
  toLine: number,
  share: number,
  absence: Stretch,
): boolean {
  const step = Math.abs(lines.ratio(toLine) - lines.ratio(fromLine));
  return isBeyond(window, lines, { fromLine, toLine, threshold: (outputRpm) => share * step * outputRpm }, absence);
}

/** Whether enough samples of the stretch departed from a line, towards another, by more than a threshold (rpm). */
function isBeyond(
  window: SampleWindow,
  lines: GearLines,
  change: { readonly fromLine: number; readonly toLine: number; readonly threshold: (outputRpm: number) => number },
  absence: Stretch,
): boolean {
  const input = window.columns.inputSpeed as Float64Array;
  const output = window.columns.outputSpeed as Float64Array;
  const ratio = lines.ratio(change.fromLine);
  const direction = change.toLine > change.fromLine ? -1 : 1;
  const { from, to } = slotsOf(window, absence);
  let count = 0;
  for (let slot = from; slot < to; slot++) {
    const outputRpm = output[slot] as number;
    const departureRpm = direction * ((input[slot] as number) - ratio * outputRpm);
    if (lines.isReadable(change.fromLine, outputRpm) && departureRpm > change.threshold(outputRpm)) count++;
  }
  return count >= LEAST_SAMPLES;
}
