import type { GearLines } from './gear-lines.js';
import { findTargetChange, LONGEST_DELAY_S, type TargetChange } from './logged-gear.js';
import { findInertiaStart, findLastSettled, findSync } from './phases.js';
import type { SampleWindow } from './sample-window.js';
import type { CarFacts } from './shift.js';
import type { Trace } from './trace.js';

/** Read back this far before the old gear was left (s): the longest delay, and driving before the command. */
const READ_BACK_S = LONGEST_DELAY_S + 1;
/** Before a command this much is smoothed for the acceleration that it met (s). */
const LEAD_S = 0.5;
/** Before the old gear was left this much is smoothed to find where it was (s). */
const LEAVING_S = 0.3;
/** A flare may run this long before the old line is last touched (s). */
const SETTLED_BACK_S = 1.5;
/** A logged command may lie this much after the start that the speeds show (s): samples are some way apart. */
const COMMAND_SLACK_S = 0.05;
/** A hole this long within a shift (s), and of this many usual intervals, leaves nothing to time. */
const CUT_HOLE_S = 0.2;
const CUT_HOLE_INTERVALS = 4;

/** A change of gear as the tracker saw it; lines are positions in `GearLines`. */
export interface GearChange {
  readonly fromLine: number;
  readonly toLine: number;
  /** The last sample in the old gear. */
  readonly leftIndex: number;
  readonly leftS: number;
  /** The sample by which the change had ended: in the new gear, back in the old one, or not at all. */
  readonly endIndex: number;
  readonly ending: 'entered' | 'returned' | 'cut' | 'overdue';
}

/** What an analysis reads: the samples at hand, the lines, the car. */
export interface AnalysisContext {
  readonly window: SampleWindow;
  readonly lines: GearLines;
  readonly trace: Trace;
  readonly car: CarFacts;
  readonly usualIntervalS: number;
  /** Samples that may be read; `endIndex` exclusive. They reach past the end of the change where the log does. */
  readonly fromIndex: number;
  readonly endIndex: number;
}

/** When one change happened, in the times of the log. */
export interface ShiftTiming {
  readonly commandS: number;
  readonly commandIndex: number;
  /** Null when the command is inferred. */
  readonly target: TargetChange | null;
  readonly inertiaStartS: number | null;
  readonly syncS: number | null;
  /** Synchronisation, or where the change broke off. */
  readonly endS: number;
  /** A hole in the samples took the phases with it. */
  readonly isHoled: boolean;
}

/** −1 for an upshift, in which the input speed falls, +1 for a downshift. */
export function directionOf(change: GearChange): 1 | -1 {
  return change.toLine > change.fromLine ? -1 : 1;
}

/**
 * Times a change of gear (methods.md 2.3 and 2.4) and leaves the trace loaded and smoothed about it. Null when too few
 * samples are at hand.
 */
export function timeShift(change: GearChange, context: AnalysisContext): ShiftTiming | null {
  const { trace, window, fromIndex, endIndex } = context;
  trace.load(window, { fromS: change.leftS - READ_BACK_S, fromIndex, endIndex });
  if (trace.length < 4) return null;
  trace.smooth(change.leftS - LEAVING_S);
  const phases = findPhases(change, context);
  const startedS = phases.inertiaStartS ?? change.leftS;
  const target = findTarget(change, context, startedS, phases.endS);
  const command = target === null ? inferCommand(change, context, startedS) : fromTarget(trace, target);
  const longestHoleS = Math.max(CUT_HOLE_S, CUT_HOLE_INTERVALS * context.usualIntervalS);
  const isHoled = longestStepS(trace, command.commandS, phases.endS) > longestHoleS;
  const unseen = isHoled ? { inertiaStartS: null, syncS: null } : {};
  return { ...command, target, ...phases, ...unseen, isHoled };
}

function findPhases(
  change: GearChange,
  { trace, lines }: AnalysisContext,
): { inertiaStartS: number | null; syncS: number | null; endS: number } {
  const heldPosition = trace.positionOfIndex(change.endIndex);
  const syncS = change.ending === 'entered' ? findSync(trace, lines, change.toLine, heldPosition) : null;
  const beyondPosition =
    change.ending === 'returned'
      ? furthestPosition(trace, lines.ratio(change.fromLine), directionOf(change), change.leftS)
      : syncS === null
        ? heldPosition
        : Math.min(trace.positionAt(syncS), trace.length - 1);
  const leaving = { fromLine: change.fromLine, direction: directionOf(change) };
  let inertiaStartS = findInertiaStart(trace, lines, leaving, beyondPosition);
  if (inertiaStartS === null) {
    // A departure may linger at the edge of the tolerance, now in and now out, for long.
    trace.smooth(change.leftS - SETTLED_BACK_S);
    inertiaStartS = findInertiaStart(trace, lines, leaving, beyondPosition);
  }
  return {
    inertiaStartS,
    syncS,
    endS: syncS ?? (trace.timeS[heldPosition] as number),
  };
}

function findTarget(change: GearChange, context: AnalysisContext, startedS: number, endS: number): TargetChange | null {
  const isTakenBack = change.ending === 'returned';
  return findTargetChange(
    context.window,
    context.lines,
    { fromLine: change.fromLine, toLine: change.toLine, isTakenBack },
    {
      fromIndex: context.fromIndex,
      endIndex: context.endIndex,
      fromS: change.leftS - LONGEST_DELAY_S,
      untilS: isTakenBack ? endS : startedS + COMMAND_SLACK_S,
    },
  );
}

interface Command {
  readonly commandS: number;
  readonly commandIndex: number;
}

function fromTarget(trace: Trace, target: TargetChange): Command {
  trace.smooth(target.timeS - LEAD_S);
  return { commandS: target.timeS, commandIndex: target.index };
}

/** Without a logged command: the last moment of settled driving in the old gear, before a flare if there was one. */
function inferCommand({ fromLine, leftS }: GearChange, { trace, lines }: AnalysisContext, startedS: number): Command {
  trace.smooth(leftS - SETTLED_BACK_S - LEAD_S);
  const settledS = findLastSettled(trace, lines, fromLine, trace.positionAt(startedS)) ?? leftS;
  const commandS = Math.min(settledS, startedS);
  const position = Math.min(trace.positionAt(commandS), trace.length - 1);
  return { commandS, commandIndex: trace.sampleIndex[position] as number };
}

/** Where the departure from a line went furthest in a direction, from a time on. */
function furthestPosition(trace: Trace, ratio: number, direction: 1 | -1, fromS: number): number {
  let furthest = Math.min(Math.max(trace.positionAt(fromS), trace.smoothedFrom), trace.length - 1);
  for (let position = furthest; position < trace.length; position++) {
    if (direction * trace.departure(position, ratio) > direction * trace.departure(furthest, ratio))
      furthest = position;
  }
  return furthest;
}

function longestStepS(trace: Trace, fromS: number, untilS: number): number {
  let longest = 0;
  for (let position = Math.max(1, trace.positionAt(fromS)); position < trace.length; position++) {
    if ((trace.timeS[position - 1] as number) >= untilS) break;
    longest = Math.max(longest, (trace.timeS[position] as number) - (trace.timeS[position - 1] as number));
  }
  return longest;
}
