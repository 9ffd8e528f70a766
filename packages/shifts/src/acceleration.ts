import { fitLocalQuadratic, type LocalFit } from './local-fit.js';
import { robustDeviation } from './robust.js';
import type { CarFacts } from './shift.js';
import { OUTPUT_HALF_S, type Trace } from './trace.js';

/** Peaks are sought from this long before the command to this long after synchronisation (s); methods.md 3. */
const LEAD_S = 0.1;
const TAIL_S = 0.3;
/** The acceleration before the shift is the mean from this long to this long before the command (s). */
const BEFORE_FROM_S = 0.35;
const BEFORE_UNTIL_S = 0.05;
/**
 * The acceleration comes from a quadratic over 150 ms (trace.ts); a second one over it, of this half width (s), gives
 * its smoothed value and its derivative. A single second derivative over 150 ms would be noise.
 */
const SECOND_HALF_S = 0.13;
const SECOND_LEAST_INTERVALS = 2.2;
/**
 * A step of acceleration by Δa reads 5.385·Δa through the two fits and 15.625·Δa as the second derivative of one
 * quadratic over 120 ms (integrals of the kernels); jerk is brought to the latter.
 */
const JERK_SCALE = 15.625 / 5.385;
/** Standard deviation through both fits per rpm of white noise and root of the interval in s (norms of the kernels). */
const JERK_GAIN = 329.4;
const ACCELERATION_GAIN = 34.39;
/** The highest of the values that noise alone reads in a shift, in standard deviations. */
const HIGHEST_OF_NOISE = 2.5;
/** Where noise alone would read this jerk (m/s³) or tie-up (m/s²), the log cannot tell it. */
const UNREADABLE_JERK = 12;
const UNREADABLE_ACCELERATION = 0.6;

/** Acceleration and jerk of the car about a shift. A measure that drowns in noise is null. */
export interface AccelerationMeasures {
  readonly peakToPeakAcceleration: number | null;
  readonly peakJerk: number | null;
  readonly tieUpDepth: number | null;
  readonly tieUpImpulse: number | null;
}

/** The stretch to measure; where a tie-up is to be told, when the old clutch let go and the ratio step new/old. */
export interface ShiftStretch {
  readonly commandS: number;
  readonly endS: number;
  readonly tieUp: { readonly releaseS: number; readonly ratioStep: number } | null;
}

/**
 * Peak-to-peak acceleration (m/s²), peak jerk (m/s³) and tie-up of a shift (methods.md 3). The highest of noisy values
 * lies too high: what noise alone would read is taken off in quadrature, with the noise of the output speed as its own
 * fits leave it over; 0 says that nothing stood above it. The trace must be smoothed from 0.5 s before the command.
 */
export function measureAcceleration(trace: Trace, car: CarFacts, stretch: ShiftStretch): AccelerationMeasures {
  const scale = ((Math.PI / 30) * car.tyreRadiusM) / car.finalDriveRatio;
  const noise = scale * outputNoiseRpm(trace) * Math.sqrt(trace.intervalS) * HIGHEST_OF_NOISE;
  const jerkNoise = noise * JERK_GAIN * JERK_SCALE;
  const accelerationNoise = noise * ACCELERATION_GAIN;
  const course = readCourse(trace, scale, stretch);
  const isReadable = accelerationNoise < UNREADABLE_ACCELERATION && course.count > 0;
  const tieUp = isReadable ? readTieUp(trace, course, stretch, accelerationNoise) : null;
  return {
    peakToPeakAcceleration: isReadable ? withoutNoise(course.highest - course.lowest, accelerationNoise) : null,
    peakJerk: jerkNoise < UNREADABLE_JERK && course.count > 0 ? withoutNoise(course.peakJerk, jerkNoise) : null,
    tieUpDepth: tieUp?.depth ?? null,
    tieUpImpulse: tieUp?.impulse ?? null,
  };
}

function withoutNoise(measured: number, noise: number): number {
  return Math.sqrt(Math.max(0, measured * measured - noise * noise));
}

/** Smoothed acceleration from half a second before the command on, and its extremes about the shift. */
interface Course {
  readonly from: number;
  readonly acceleration: Float64Array;
  readonly count: number;
  readonly highest: number;
  readonly lowest: number;
  readonly peakJerk: number;
}

function readCourse(trace: Trace, scale: number, stretch: ShiftStretch): Course {
  const from = Math.max(trace.smoothedFrom, trace.positionAt(stretch.commandS - BEFORE_FROM_S));
  const leadFrom = trace.positionAt(stretch.commandS - LEAD_S);
  // Where the log ends, only what both fits see in full counts.
  const seenUntilS = (trace.timeS[trace.length - 1] as number) - SECOND_HALF_S - OUTPUT_HALF_S;
  const to = trace.positionAt(Math.min(stretch.endS + TAIL_S, seenUntilS));
  const acceleration = trace.acceleration.subarray(0, Math.max(0, to - from));
  const fit: LocalFit = { value: 0, slope: 0, curvature: 0, count: 0 };
  const halfS = Math.max(SECOND_HALF_S, SECOND_LEAST_INTERVALS * trace.intervalS) + 1e-6;
  const range = { from, to: from, atS: 0 };
  let highest = Number.NEGATIVE_INFINITY;
  let lowest = Number.POSITIVE_INFINITY;
  let peakJerk = 0;
  let count = 0;
  for (let position = from; position < to; position++) {
    const atS = trace.timeS[position] as number;
    range.atS = atS;
    while (range.from > trace.smoothedFrom && atS - (trace.timeS[range.from - 1] as number) <= halfS) range.from--;
    while (atS - (trace.timeS[range.from] as number) > halfS) range.from++;
    while (range.to < trace.length && (trace.timeS[range.to] as number) - atS <= halfS) range.to++;
    fitLocalQuadratic(trace.timeS, trace.outputSlope, range, fit);
    acceleration[position - from] = scale * fit.value;
    if (position < leadFrom || Number.isNaN(fit.slope)) continue;
    count++;
    highest = Math.max(highest, scale * fit.value);
    lowest = Math.min(lowest, scale * fit.value);
    peakJerk = Math.max(peakJerk, JERK_SCALE * scale * Math.abs(fit.slope));
  }
  return { from, acceleration, count, highest, lowest, peakJerk };
}

/**
 * Tie-up of an upshift: how far the acceleration falls, before the old clutch lets go, below what the change of ratio
 * explains, and the integral of that dip (m/s², m/s). What it explains is (i_b/i_a)·a_before, and nothing when
 * coasting, where a_before stands instead. It ends with the first slip, be it flare or inertia phase: while neither
 * clutch carries, the car is driven less too, but nothing binds.
 */
function readTieUp(
  trace: Trace,
  { from, acceleration }: Course,
  { commandS, tieUp }: ShiftStretch,
  noise: number,
): { depth: number; impulse: number } | null {
  if (tieUp === null) return null;
  const before = mean(acceleration.subarray(0, Math.max(0, trace.positionAt(commandS - BEFORE_UNTIL_S) - from)));
  if (Number.isNaN(before)) return null;
  const explained = Math.min(before, tieUp.ratioStep * before);
  const to = trace.positionAt(tieUp.releaseS);
  let depth = 0;
  let impulse = 0;
  for (let position = trace.positionAt(commandS); position < to; position++) {
    const dip = explained - (acceleration[position - from] as number);
    if (!(dip > 0)) continue;
    depth = Math.max(depth, dip);
    const nextS = position + 1 < trace.length ? (trace.timeS[position + 1] as number) : tieUp.releaseS;
    impulse += dip * (Math.min(nextS, tieUp.releaseS) - (trace.timeS[position] as number));
  }
  return { depth: withoutNoise(depth, noise), impulse };
}

/** Mean; NaN of nothing. */
function mean(values: Float64Array): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

/** Noise of the output speed as its local fits leave it over (rpm). */
function outputNoiseRpm(trace: Trace): number {
  const { outputRpm, smoothOutputRpm, smoothedFrom, length } = trace;
  // The course is read after this and needs the room only then.
  const residuals = trace.acceleration.subarray(0, length - smoothedFrom);
  for (let i = 0; i < residuals.length; i++) {
    residuals[i] = (outputRpm[smoothedFrom + i] as number) - (smoothOutputRpm[smoothedFrom + i] as number);
  }
  const points = Math.max(5, Math.round((2 * OUTPUT_HALF_S) / trace.intervalS));
  // A quadratic follows its middle sample by the weight that it gives it: 3(3n² − 7)/(4n(n² − 4)).
  const followed = (3 * (3 * points * points - 7)) / (4 * points * (points * points - 4));
  return robustDeviation(residuals) / Math.sqrt(1 - followed);
}
