import { LONGEST_DELAY_S } from './logged-gear.js';
import type { SampleWindow } from './sample-window.js';
import type { Shift } from './shift.js';
import type { GearChange } from './shift-timing.js';
import { VALVE_FOLLOWED_S, valveOnAfterS } from './valve-on.js';

/** The opposite shift commanded within this long of synchronisation undoes a shift (s). */
const HUNTING_S = 3;
/** After this long nothing can still change a shift: a command may be that much older than what it shows in (s). */
const HELD_S = Math.max(HUNTING_S + LONGEST_DELAY_S, VALVE_FOLLOWED_S);

/** A command given in mid-shift may be logged this much, or a sample, after the tolerance was reached (s). */
const COMMAND_LATE_S = 0.04;
/** A gear held for longer than this after synchronisation was no way-point (s). */
const WAY_POINT_S = 0.8;

/** Samples that may be read, by index in the whole log; `endIndex` exclusive. */
export interface IndexRange {
  readonly fromIndex: number;
  readonly endIndex: number;
}

/** Holds the last shift back until it is known whether it was undone or went on, and when its valve was let go. */
export class ShiftQueue {
  private held: { readonly shift: Shift; readonly change: GearChange } | null = null;
  private readonly window: SampleWindow;

  constructor(window: SampleWindow) {
    this.window = window;
  }

  /** Takes a new shift, measured from the samples of a range; returns the one before it, now complete. */
  add(shift: Shift, change: GearChange, range: IndexRange): Shift | null {
    const released = this.release(range, shift);
    this.held = { shift, change };
    return released;
  }

  /** Puts a shift in the place of the held one, which was part of it. */
  replace(shift: Shift, change: GearChange): void {
    this.held = { shift, change };
  }

  /**
   * The change that the held shift and this one make together, when this one was commanded before the held one had
   * synchronised: its gear was then only a way-point of a change of target (methods.md 2.5). Null when they are two.
   */
  joinedWith(shift: Shift, change: GearChange, usualIntervalS: number): GearChange | null {
    if (this.held === null || this.held.change.toLine !== change.fromLine) return null;
    const { syncS } = this.held.shift;
    const lateS = Math.max(COMMAND_LATE_S, usualIntervalS);
    if (syncS === null || shift.commandSource !== 'gearTarget' || shift.commandS - lateS > syncS) return null;
    if (shift.inertiaStartS === null || shift.inertiaStartS - syncS > WAY_POINT_S) return null;
    const { fromLine, toLine, leftIndex, leftS } = this.held.change;
    const isBack = change.toLine === fromLine;
    if (isBack) return { ...change, fromLine, toLine, leftIndex, leftS, ending: 'returned' };
    return { ...change, fromLine, leftIndex, leftS };
  }

  /** Whether the held shift can be let go, given that the car is in gear at this time. */
  isRipe(inGearS: number): boolean {
    return this.held !== null && inGearS - (this.held.shift.syncS ?? this.held.shift.commandS) > HELD_S;
  }

  /** Lets the held shift go, in view of the samples of a range and of the shift that follows it if any. */
  release(range: IndexRange, next: Shift | null): Shift | null {
    const shift = this.held?.shift ?? null;
    this.held = null;
    if (shift === null || shift.syncS === null) return shift;
    const untilS = next?.commandS ?? Number.POSITIVE_INFINITY;
    return {
      ...shift,
      isHunting: next !== null && isUndone(shift, shift.syncS, next),
      measures: { ...shift.measures, valveOnAfterSyncS: valveOnAfterS(this.window, shift.syncS, { ...range, untilS }) },
    };
  }
}

function isUndone(shift: Shift, syncS: number, next: Shift): boolean {
  return next.from === shift.to && next.to === shift.from && next.commandS - syncS <= HUNTING_S;
}
