import { SIGNAL_IDS, type SignalId } from '../signals.js';
import { unitsForSignal } from '../units.js';

/** How a signal gets its value at a moment for which it was not sampled. */
export interface JoinRule {
  /** `linear` between the samples around; `hold` the last sample before. */
  readonly kind: 'linear' | 'hold';
  /** Samples farther apart than this (s) are not joined by a line: no value between them. Infinity when held. */
  readonly maxGapS: number;
}

/** The longest line that is drawn between two samples (s). Speeds: a shift takes 0.2 to 1 s and must not be bridged. */
const MAX_GAP_S: Partial<Record<SignalId, number>> = {
  engineSpeed: 1,
  inputSpeed: 1,
  outputSpeed: 1,
  fluidTemperature: 30,
  supplyVoltage: 30,
};
/** Pedal, load, torque, pressures, duty. */
const USUAL_MAX_GAP_S = 2.5;

/**
 * The rule of each signal. States (gears, programs, switches, marks) are held, however long: a bus may tell them on
 * change only. Measured quantities are interpolated, over at most 1 s for speeds, 30 s for fluid temperature and supply
 * voltage, 2.5 s for the others. Nothing is ever continued beyond the first or last sample of a measured quantity.
 */
export const JOIN_RULES: Readonly<Record<SignalId, JoinRule>> = Object.fromEntries(
  SIGNAL_IDS.map((signal): [SignalId, JoinRule] => [signal, ruleOf(signal)]),
) as Record<SignalId, JoinRule>;

function ruleOf(signal: SignalId): JoinRule {
  const isState = unitsForSignal(signal)[0] === '';
  if (isState) return { kind: 'hold', maxGapS: Infinity };
  return { kind: 'linear', maxGapS: MAX_GAP_S[signal] ?? USUAL_MAX_GAP_S };
}
