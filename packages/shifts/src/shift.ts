import type { SignalId } from '@syncline/drivelog';

/** What the measures need to know of the car. */
export interface CarFacts {
  /** Input torque that a load of 100 % stands for (N·m). */
  readonly ratedInputTorqueNm: number;
  readonly inputInertiaKgM2: number;
  /** Rolling radius of the driven wheels (m). */
  readonly tyreRadiusM: number;
  /** Output-shaft speed over wheel speed. */
  readonly finalDriveRatio: number;
}

/**
 * How a shift came to its end (methods.md 2.5). `complete` synchronised; `retargeted` changed its target on the way
 * and synchronised in another gear than first asked for, or back in the old one; `cut` was broken by a gap or by the
 * end of the log; `unsynchronised` never reached its line in time.
 */
export type ShiftOutcome = 'complete' | 'retargeted' | 'cut' | 'unsynchronised';

export type ShiftDirection = 'up' | 'down';

/** One gear change found in a log. Times are seconds of the log; indices are samples of the whole log. */
export interface Shift {
  readonly from: number;
  /** The gear synchronised in; where none was, or the old one again, the gear that was asked for. */
  readonly to: number;
  /** The gear in which the change ended; `from` after a change of mind, null when cut or not synchronised. */
  readonly endedIn: number | null;
  /** `from-to`, e.g. `3-4`. */
  readonly kind: string;
  readonly direction: ShiftDirection;
  /** |from − to| > 1. */
  readonly isSkip: boolean;
  /** Torque at the input at the command was positive enough to drive the car. */
  readonly isPowerOn: boolean;
  readonly outcome: ShiftOutcome;
  /** Undone by the opposite shift, commanded within 3 s of this one's synchronisation. */
  readonly isHunting: boolean;
  readonly startIndex: number;
  /** Exclusive. */
  readonly endIndex: number;
  readonly commandS: number;
  /** Whether `commandS` was logged as a change of target, or inferred as the last moment in the old gear. */
  readonly commandSource: 'gearTarget' | 'lastInGear';
  /** Start of the inertia phase; null when it cannot be told. */
  readonly inertiaStartS: number | null;
  /** Start of the flare; null without one. */
  readonly flareStartS: number | null;
  readonly syncS: number | null;
  /** When input over output speed had gone 10 % and 90 % of the way between the two ratios. */
  readonly ratio10S: number | null;
  readonly ratio90S: number | null;
  /** Conditions at the command, medians over the last 200 ms before it; null when not logged. */
  readonly at: OperatingConditions;
  readonly measures: ShiftMeasures;
  /** What made this shift a poor witness; empty for a clean one. */
  readonly disturbances: readonly Disturbance[];
}

export interface OperatingConditions {
  readonly load: number | null;
  readonly inputTorqueNm: number | null;
  readonly engineSpeedRpm: number | null;
  readonly inputSpeedRpm: number;
  readonly outputSpeedRpm: number;
  readonly fluidTemperatureC: number | null;
  readonly pedal: number | null;
  /** Value of the `program` signal. */
  readonly programCode: number | null;
  readonly applyPressureKpa: number | null;
  readonly supplyVoltageV: number | null;
}

/** Measures of methods.md 3. A measure that the log cannot give is null, never 0. */
export interface ShiftMeasures {
  readonly flareRpm: number;
  readonly flareMs: number;
  /** Area of the departure above the line (revolutions). */
  readonly flareRevolutions: number;
  readonly shiftTimeS: number | null;
  readonly inertiaTimeS: number | null;
  /** Null when the command is only inferred: the last moment in the old gear is no command. */
  readonly delayS: number | null;
  /** m/s² and m/s³, noise taken off; null where noise hides them, as with slow sampling. */
  readonly peakToPeakAcceleration: number | null;
  readonly peakJerk: number | null;
  /** Depth of the tie-up dip (m/s²) and its impulse (m/s); upshifts with a logged command only. */
  readonly tieUpDepth: number | null;
  readonly tieUpImpulse: number | null;
  /** Distance between the two lines at synchronisation (rpm). */
  readonly speedStepRpm: number | null;
  readonly slipEnergyJ: number | null;
  /** Time that the shift valve stayed energised after synchronisation (s); at least this when it outlasts 5 s. */
  readonly valveOnAfterSyncS: number | null;
  /** Measured actual time from the release of the old clutch to synchronisation (s); methods.md 5. */
  readonly actualTimeS: number | null;
  /** Pressure commanded of the governing clutch at that release, and its mean over the actual time (kPa). */
  readonly appliedStartKpa: number | null;
  readonly appliedMeanKpa: number | null;
}

export type Disturbance =
  | 'pedalChange'
  | 'brake'
  | 'gap'
  | 'repeatedTime'
  | 'clockStep'
  | 'slowSampling'
  | 'lockUpMove';

/** One closing of the converter clutch (methods.md 3). */
export interface LockUpEpisode {
  readonly startIndex: number;
  readonly endIndex: number;
  readonly commandS: number;
  /** First moment of lasting |engine − input| < 200 rpm; null when never made. */
  readonly madeS: number | null;
  readonly releasedS: number | null;
  readonly gear: number | null;
  readonly timeToLockS: number | null;
  /** Median slip while applied (rpm). A small steady slip is intended. */
  readonly steadySlipRpm: number | null;
  readonly overshootRpm: number | null;
  /** R.m.s. of slip in 5–15 Hz while applied (rpm); null below 40 Hz sampling. */
  readonly judderRpm: number | null;
  /**
   * `made` in time or `slow`; `notMade` although applied for longer than the policy allows; `lost` without a command;
   * `cut` when the log or a release ended it before that could be told.
   */
  readonly verdict: 'made' | 'slow' | 'notMade' | 'lost' | 'cut';
  /** Gear changes that happened inside; they explain slip and are not faults. */
  readonly shiftsInside: number;
}

/** Counts of what was odd in the samples; nothing of it was repaired (methods.md 1). */
export interface SampleFindings {
  readonly sampleCount: number;
  /** Time covered by samples (s), gaps left out. */
  readonly durationS: number;
  /** Median sampling interval (s), repeats left out; exact for regular sampling, else within 5 %. NaN below two. */
  readonly medianIntervalS: number;
  /** Sampled too slowly to time a shift: no shift is reported at all. */
  readonly tooSlowForTiming: boolean;
  /** Intervals above 0.5 s and above five usual intervals. */
  readonly gaps: number;
  readonly longestGapS: number;
  readonly repeatedTimes: number;
  readonly stepsBack: number;
  /** Time without both speeds or too near standstill to read a ratio (s). */
  readonly unreadableRatioS: number;
  /** Signals without a single value. */
  readonly missingSignals: readonly SignalId[];
}
