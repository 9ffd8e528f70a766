import type { Car } from './car.js';
import type { DriveTrace } from './drive-trace.js';
import { localDerivatives } from './local-quadratic.js';
import { radPerS } from './units.js';
import { metresPerRad } from './vehicle.js';

/** Half of the window of the local quadratic, and distance between the places where it is fitted (s). */
const FIT_HALF_S = 0.06;
const FIT_HOP_S = 0.004;
/** Acceleration before the shift: mean over this span before the command (s). */
const BEFORE_FROM_S = 0.35;
const BEFORE_UNTIL_S = 0.05;

/** A stretch of a trace by sample positions, which may be fractions. */
interface Stretch {
  readonly start: number;
  readonly end: number;
}

/**
 * How far the acceleration falls below what the change of ratio explains (m/s², not negative; methods.md 3): below
 * (new/old ratio)·a_before, or a_before itself when slowing down. The stretch begins with the command.
 */
export function tieUpDepth(trace: DriveTrace, car: Car, stretch: Stretch & { readonly ratioStep: number }): number {
  const { outputRpm, stepS } = trace;
  const from = Math.max(0, stretch.start - Math.round(BEFORE_FROM_S / stepS));
  const until = Math.max(0, stretch.start - Math.round(BEFORE_UNTIL_S / stepS));
  if (until === from) return 0;
  const before = ((outputRpm[until] - outputRpm[from]) / ((until - from) * stepS)) * metresPerRpm(car);
  const expected = Math.min(before, before * stretch.ratioStep);
  let depth = 0;
  fitAlong(trace, stretch, (slope) => {
    depth = Math.max(depth, expected - slope * metresPerRpm(car));
  });
  return depth;
}

/** Largest |jerk| (m/s³), the second derivative of a local quadratic over 120 ms. */
export function peakJerk(trace: DriveTrace, car: Car, stretch: Stretch): number {
  let peak = 0;
  fitAlong(trace, stretch, (_, curvature) => {
    peak = Math.max(peak, Math.abs(curvature * metresPerRpm(car)));
  });
  return peak;
}

/** Road speed (m/s) per rpm of the output shaft. */
function metresPerRpm(car: Car): number {
  return radPerS(1) * metresPerRad(car.vehicle);
}

/** Derivatives of the output speed (rpm/s, rpm/s²) at places of a stretch where the window fits into the drive. */
function fitAlong(trace: DriveTrace, stretch: Stretch, visit: (slope: number, curvature: number) => void): void {
  const { outputRpm, stepS } = trace;
  const half = Math.round(FIT_HALF_S / stepS);
  const hop = Math.max(1, Math.round(FIT_HOP_S / stepS));
  const last = Math.min(Math.floor(stretch.end), outputRpm.length - 1 - half);
  const result = { first: 0, second: 0 };
  for (let i = Math.max(Math.ceil(stretch.start), half); i <= last; i += hop) {
    localDerivatives(outputRpm, i, half, stepS, result);
    visit(result.first, result.second);
  }
}
