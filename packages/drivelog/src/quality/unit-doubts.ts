import type { SignalId } from '../signals.js';
import { type QualityFinding, RESULTS_OF_SIGNAL, shown } from './quality-finding.js';

interface UnitDoubt {
  readonly signals: readonly SignalId[];
  /** Whether the lowest and highest value in the canonical unit betray another one. */
  readonly isDoubtful: (min: number, max: number) => boolean;
  readonly likely: string;
}

/**
 * What the canonical units cannot be, from physics and common practice: fluid boils its seals beyond 160 °C and never
 * starts above 100 °C; clutch pressures reach some hundred kPa and pumps some thousand; a car's supply is 8 to 16 V,
 * or twice that; engines turn at 500 to 9000 rpm.
 */
const DOUBTS: readonly UnitDoubt[] = [
  { signals: ['fluidTemperature'], isDoubtful: (min) => min > 230, likely: 'K' },
  { signals: ['fluidTemperature'], isDoubtful: (min, max) => min <= 230 && max > 165, likely: '°F' },
  { signals: ['applyPressure', 'linePressure'], isDoubtful: (_, max) => max > 1 && max < 40, likely: 'bar' },
  { signals: ['applyPressure', 'linePressure'], isDoubtful: (_, max) => max > 20_000, likely: 'Pa' },
  {
    signals: ['load', 'pedal', 'converterDuty'],
    isDoubtful: (min, max) => max > min && max > 0.2 && max <= 1.001,
    likely: 'ratio (0 to 1)',
  },
  { signals: ['pedal', 'converterDuty'], isDoubtful: (_, max) => max > 105, likely: 'raw counts' },
  { signals: ['load'], isDoubtful: (_, max) => max > 250, likely: 'raw counts' },
  { signals: ['supplyVoltage'], isDoubtful: (_, max) => max > 1000, likely: 'mV' },
  {
    signals: ['engineSpeed', 'inputSpeed'],
    isDoubtful: (_, max) => max > 1 && max <= 160,
    likely: 'Hz (revolutions per second)',
  },
  { signals: ['engineSpeed', 'inputSpeed', 'outputSpeed'], isDoubtful: (_, max) => max > 12_000, likely: 'raw counts' },
];

/** The doubt about the unit of a signal, from the range of its values; undefined when they are possible. */
export function doubtUnit(signal: SignalId, min: number, max: number): QualityFinding | undefined {
  const doubt = DOUBTS.find(({ signals, isDoubtful }) => signals.includes(signal) && isDoubtful(min, max));
  if (doubt === undefined) return undefined;
  return {
    code: 'unit_doubtful',
    signal,
    severity: 'error',
    message: `${signal} runs from ${shown(min)} to ${shown(max)}; the column is probably in ${doubt.likely}. Correct its unit in the signal map.`,
    effect: `Until then ${RESULTS_OF_SIGNAL[signal]} cannot be trusted.`,
  };
}
