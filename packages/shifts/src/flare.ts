import type { GearLines } from './gear-lines.js';
import { fitLocalQuadratic, type LocalFit } from './local-fit.js';
import { crossingS } from './phases.js';
import type { Trace } from './trace.js';

/** The peak is read from a quadratic over this share of the flare's length to each side, within the bounds (s). */
const PEAK_SHARE = 0.25;
const PEAK_LEAST_S = 0.035;
const PEAK_MOST_S = 0.1;
/** Fewer samples about the peak than this are not fitted. */
const LEAST_PEAK_SAMPLES = 5;

/** How far the input speed ran beyond a line, above tolerance (methods.md 3). */
export interface Flare {
  readonly rpm: number;
  readonly ms: number;
  readonly revolutions: number;
  readonly startS: number | null;
}

export const NO_FLARE: Flare = { rpm: 0, ms: 0, revolutions: 0, startS: null };

/**
 * The greatest departure above a line between two times, and the stretch above tolerance around it. The maximum of
 * noisy samples lies too high, so the peak is read from a local quadratic whose width follows the flare's length.
 */
export function findFlare(
  trace: Trace,
  lines: GearLines,
  search: { readonly line: number; readonly fromS: number; readonly untilS: number },
): Flare {
  const ratio = lines.ratio(search.line);
  const excess = (position: number): number =>
    trace.departure(position, ratio) - lines.smoothToleranceRpm(search.line, trace.smoothOutputRpm[position] as number);
  const from = Math.max(trace.positionAt(search.fromS), trace.smoothedFrom);
  const to = Math.min(trace.positionAt(search.untilS), trace.length);
  const peak = highestPosition(trace, ratio, from, to);
  if (peak < 0 || excess(peak) <= 0) return NO_FLARE;
  let first = peak;
  while (first > from && excess(first - 1) > 0) first--;
  let last = peak;
  while (last + 1 < to && excess(last + 1) > 0) last++;
  const startS =
    first > trace.smoothedFrom && excess(first - 1) <= 0
      ? crossingS(trace, first - 1, excess(first - 1), excess(first))
      : (trace.timeS[first] as number);
  const endS =
    last + 1 < trace.length && excess(last + 1) <= 0
      ? crossingS(trace, last, excess(last), excess(last + 1))
      : (trace.timeS[last] as number);
  return {
    rpm: peakRpm(trace, ratio, peak, endS - startS),
    ms: 1000 * (endS - startS),
    revolutions: revolutionsAbove(trace, ratio, first, last),
    startS,
  };
}

function highestPosition(trace: Trace, ratio: number, from: number, to: number): number {
  let best = -1;
  let bestRpm = Number.NEGATIVE_INFINITY;
  for (let position = from; position < to; position++) {
    const departure = trace.departure(position, ratio);
    if (departure > bestRpm) {
      bestRpm = departure;
      best = position;
    }
  }
  return best;
}

/** Top of a quadratic fitted to the unsmoothed input speed about the peak, above the line (rpm). */
function peakRpm(trace: Trace, ratio: number, peak: number, lengthS: number): number {
  const smoothed = trace.departure(peak, ratio);
  const halfS = Math.min(Math.max(PEAK_SHARE * lengthS, PEAK_LEAST_S), PEAK_MOST_S) + 1e-6;
  const peakS = trace.timeS[peak] as number;
  const range = { from: trace.positionAt(peakS - halfS), to: trace.positionAt(peakS + halfS), atS: peakS };
  const fit: LocalFit = { value: 0, slope: 0, curvature: 0, count: 0 };
  fitLocalQuadratic(trace.timeS, trace.inputRpm, range, fit);
  if (fit.count < LEAST_PEAK_SAMPLES || !(fit.curvature < 0)) return smoothed;
  const slope = fit.slope - ratio * (trace.outputSlope[peak] as number);
  if (Math.abs(slope / fit.curvature) > halfS) return smoothed;
  return fit.value - ratio * (trace.smoothOutputRpm[peak] as number) - (slope * slope) / (2 * fit.curvature);
}

/** Area above the line over a stretch, by trapezia (revolutions). */
function revolutionsAbove(trace: Trace, ratio: number, first: number, last: number): number {
  let rpmSeconds = 0;
  for (let position = first; position < last; position++) {
    const stepS = (trace.timeS[position + 1] as number) - (trace.timeS[position] as number);
    rpmSeconds += (stepS * (trace.departure(position, ratio) + trace.departure(position + 1, ratio))) / 2;
  }
  return rpmSeconds / 60;
}
