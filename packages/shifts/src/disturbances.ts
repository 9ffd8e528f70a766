import type { SignalId } from '@syncline/drivelog';
import { type Slots, type Stretch, slotsOf } from './logged-gear.js';
import type { SampleWindow } from './sample-window.js';
import type { Disturbance } from './shift.js';

/** A pedal that moved by more than this (%) within the shift changed the torque under it. */
const PEDAL_MOVE = 10;
/** A converter duty that moved by more than this (%) within the shift moved the lock-up clutch. */
const DUTY_MOVE = 10;
/** Samples missing for longer than this within a shift (s), and for this many usual intervals. */
const HOLE_S = 0.06;
const HOLE_INTERVALS = 3;
/** Sampling slower than this blurs the phases (s). */
const SLOW_INTERVAL_S = 1 / 15;

/** What made a shift a poor witness, over the stretch from its command to its end. */
export function findDisturbances(window: SampleWindow, stretch: Stretch, usualIntervalS: number): Disturbance[] {
  const slots = slotsOf(window, stretch);
  const found: Disturbance[] = [];
  if (rangeOf(window, 'pedal', slots) > PEDAL_MOVE) found.push('pedalChange');
  if (highest(window, 'brake', slots) >= 0.5) found.push('brake');
  const clock = clockOddities(window, slots);
  if (clock.longestStepS > Math.max(HOLE_S, HOLE_INTERVALS * usualIntervalS)) found.push('gap');
  if (clock.repeats > 0) found.push('repeatedTime');
  if (clock.stepsBack > 0) found.push('clockStep');
  if (usualIntervalS > SLOW_INTERVAL_S) found.push('slowSampling');
  if (rangeOf(window, 'converterDuty', slots) > DUTY_MOVE) found.push('lockUpMove');
  return found;
}

function clockOddities(
  window: SampleWindow,
  slots: Slots,
): { repeats: number; stepsBack: number; longestStepS: number } {
  const oddities = { repeats: 0, stepsBack: 0, longestStepS: 0 };
  for (let slot = Math.max(1, slots.from); slot < slots.to; slot++) {
    const loggedStepS = (window.timeS[slot] as number) - (window.timeS[slot - 1] as number);
    if (loggedStepS < 0) oddities.stepsBack++;
    else if (!(loggedStepS > 0)) oddities.repeats++;
    oddities.longestStepS = Math.max(
      oddities.longestStepS,
      (window.clockS[slot] as number) - (window.clockS[slot - 1] as number),
    );
  }
  return oddities;
}

/** Highest minus lowest value; -Infinity when the signal is absent. */
function rangeOf(window: SampleWindow, id: SignalId, slots: Slots): number {
  const column = window.columns[id];
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (let slot = slots.from; column !== undefined && slot < slots.to; slot++) {
    const value = column[slot] as number;
    if (value < low) low = value;
    if (value > high) high = value;
  }
  return high - low;
}

function highest(window: SampleWindow, id: SignalId, slots: Slots): number {
  const column = window.columns[id];
  let high = Number.NEGATIVE_INFINITY;
  for (let slot = slots.from; column !== undefined && slot < slots.to; slot++) {
    high = Math.max(high, Number.isNaN(column[slot] as number) ? high : (column[slot] as number));
  }
  return high;
}
