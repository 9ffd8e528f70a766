/**
 * The canonical signals of a drive log, in canonical units (methods.md 1). Speeds rpm, load and pedal %, torque N·m,
 * temperature °C, pressure kPa, duty %, voltage V; gears are whole numbers, 0 for neutral, negative for reverse;
 * `valveOn` and `brake` are 0 or 1; `mark` counts presses of a button.
 * `time` is not among them: it is the axis of every batch, in seconds from the start of the drive.
 */
export const SIGNAL_IDS = [
  'engineSpeed',
  'inputSpeed',
  'outputSpeed',
  'gear',
  'gearTarget',
  'load',
  'inputTorque',
  'pedal',
  'brake',
  'fluidTemperature',
  'program',
  'applyPressure',
  'linePressure',
  'converterDuty',
  'supplyVoltage',
  'valveOn',
  'mark',
] as const;

export type SignalId = (typeof SIGNAL_IDS)[number];

/**
 * A run of consecutive samples. Every array has the same length; a missing value is NaN; a signal that the log does
 * not have is absent. `timeS` is as logged: irregular, possibly with gaps, repeats and steps back.
 * The consumer owns the arrays, unless it asked a reader to lend them.
 */
export interface SignalBatch {
  /** Index of the first sample in the whole log. */
  readonly startIndex: number;
  readonly timeS: Float64Array;
  readonly signals: Partial<Record<SignalId, Float64Array>>;
}
