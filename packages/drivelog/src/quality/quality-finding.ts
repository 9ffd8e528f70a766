import type { SignalId } from '../signals.js';

/** Something about the values of a log that a person should know before believing its results. */
export interface QualityFinding {
  readonly code:
    | 'stuck'
    | 'clipped'
    | 'unit_doubtful'
    | 'speeds_swapped'
    | 'output_speed_unit'
    | 'output_speed_scaled'
    | 'ratio_implausible';
  /** The signal at fault; of a pair the one to look at first. */
  readonly signal: SignalId;
  /** `error`: results that need the signal are wrong; `warning`: they are less sure. */
  readonly severity: 'error' | 'warning';
  /** What was seen, with its numbers. */
  readonly message: string;
  /** What it does to the results. */
  readonly effect: string;
}

/** What results need each measured signal for (methods.md 2 and 3), to complete “… cannot be trusted”. */
export const RESULTS_OF_SIGNAL: Readonly<Partial<Record<SignalId, string>>> = {
  engineSpeed: 'converter slip and lock-up episodes',
  inputSpeed: 'gear, phases, flare and times of every shift',
  outputSpeed: 'gear, phases, flare, tie-up and jerk of every shift',
  load: 'the operating point of shifts and their target times',
  inputTorque: 'slip energy and the demand ratio that corrections are estimated from',
  pedal: 'which shifts count as disturbed by the driver',
  fluidTemperature: 'the fluid temperature that shifts are sorted by',
  applyPressure: 'the commanded pressure beside each shift',
  linePressure: 'the line pressure beside each shift',
  converterDuty: 'lock-up commands and their times',
  supplyVoltage: 'the supply voltage beside each shift',
};

/** A number with about three digits. */
export function shown(value: number): string {
  const size = Math.abs(value);
  return size >= 100 ? value.toFixed(0) : size >= 10 ? value.toFixed(1) : value.toPrecision(2);
}
