import { LogarithmicBins } from './logarithmic-bins.js';

/** How a log was sampled. Nothing of the time axis is repaired; this says what is odd about it. */
export interface TimeStatistics {
  readonly sampleCount: number;
  /** Latest minus earliest time (s); 0 without samples. */
  readonly spanS: number;
  /** Median of the intervals above 0, to 1.5 % (exact for even sampling); null when time never advances. */
  readonly medianIntervalS: number | null;
  /**
   * Jitter: half the distance of the quartiles of these intervals over their median, to 1.5 % (0 for even sampling);
   * null when time never advances.
   */
  readonly intervalSpread: number | null;
  /** Longest interval (s); 0 when time never advances. */
  readonly longestIntervalS: number;
  /** Intervals above 5 medians and above 0.25 s. */
  readonly gaps: number;
  /** Samples with the time of the one before. */
  readonly repeatedTimes: number;
  /** Samples earlier than the one before, and the farthest of these steps (s, positive). */
  readonly stepsBack: number;
  readonly longestStepBackS: number;
}

const GAP_MEDIANS = 5;
const MIN_GAP_S = 0.25;

/** Intervals are counted in bins of equal ratio, 1.5 % wide, from 1 µs to 12 days, so that memory is fixed. */
const BINS_PER_OCTAVE = 48;
const LOWEST_OCTAVE = -20;
const BIN_COUNT = 40 * BINS_PER_OCTAVE;
/** Intervals of 1 ms to 1 s, which nearly all are. */
const USUAL = { fromExponent: -10, toExponent: 0 };

/** Gathers the statistics batch by batch in fixed memory; how the batches are cut makes no difference. */
export class TimeStatisticsCounter {
  private readonly counts = new Float64Array(BIN_COUNT);
  private readonly sums = new Float64Array(BIN_COUNT);
  private readonly bins = new LogarithmicBins(binOf, USUAL);
  private sampleCount = 0;
  private previous = NaN;
  private earliest = Infinity;
  private latest = -Infinity;
  private longestIntervalS = 0;
  private repeatedTimes = 0;
  private stepsBack = 0;
  private longestStepBackS = 0;

  push(timeS: Float64Array): void {
    for (let i = 0; i < timeS.length; i++) {
      const t = timeS[i];
      const step = t - this.previous;
      if (step > 0) this.addInterval(step);
      else if (step === 0) this.repeatedTimes++;
      else if (step < 0) {
        this.stepsBack++;
        this.longestStepBackS = Math.max(this.longestStepBackS, -step);
      }
      if (t < this.earliest) this.earliest = t;
      if (t > this.latest) this.latest = t;
      this.previous = t;
    }
    this.sampleCount += timeS.length;
  }

  result(): TimeStatistics {
    const medianIntervalS = this.quantile(0.5);
    const quartileDistanceS = (this.quantile(0.75) ?? 0) - (this.quantile(0.25) ?? 0);
    return {
      sampleCount: this.sampleCount,
      spanS: this.sampleCount === 0 ? 0 : this.latest - this.earliest,
      medianIntervalS,
      intervalSpread: medianIntervalS === null ? null : quartileDistanceS / 2 / medianIntervalS,
      longestIntervalS: this.longestIntervalS,
      gaps: medianIntervalS === null ? 0 : this.countAbove(Math.max(MIN_GAP_S, GAP_MEDIANS * medianIntervalS)),
      repeatedTimes: this.repeatedTimes,
      stepsBack: this.stepsBack,
      longestStepBackS: this.longestStepBackS,
    };
  }

  private addInterval(step: number): void {
    const bin = this.bins.of(step);
    this.counts[bin] = this.counts[bin] + 1;
    this.sums[bin] = this.sums[bin] + step;
    if (step > this.longestIntervalS) this.longestIntervalS = step;
  }

  /** Mean of the bin that holds the interval below which a share of them lies. */
  private quantile(share: number): number | null {
    const total = this.counts.reduce((sum, count) => sum + count, 0);
    let below = 0;
    for (let bin = 0; bin < BIN_COUNT; bin++) {
      const count = this.counts[bin];
      below += count;
      if (count > 0 && below >= share * total) return this.sums[bin] / count;
    }
    return null;
  }

  private countAbove(limitS: number): number {
    let count = 0;
    for (let bin = 0; bin < BIN_COUNT; bin++) {
      const inBin = this.counts[bin];
      if (inBin > 0 && this.sums[bin] / inBin > limitS) count += inBin;
    }
    return count;
  }
}

function binOf(step: number): number {
  const bin = Math.floor((Math.log2(step) - LOWEST_OCTAVE) * BINS_PER_OCTAVE);
  return Math.max(0, Math.min(BIN_COUNT - 1, bin));
}

/** Statistics of one time axis. */
export function timeStatistics(timeS: Float64Array): TimeStatistics {
  const counter = new TimeStatisticsCounter();
  counter.push(timeS);
  return counter.result();
}

/** Whether shifts can be timed from a log. `coarse` can, but each time is only known to one interval. */
export type TimingSuitability =
  | { readonly kind: 'good' | 'coarse'; readonly rateHz: number; readonly reason: string }
  | { readonly kind: 'unsuitable'; readonly rateHz: number | null; readonly reason: string };

/** A shift takes 0.2 to 1 s (common practice); methods.md 1 asks for 10 Hz and more. 5 % for uneven clocks. */
const SLOWEST_INTERVAL_S = 0.1 * 1.05;
/** Below 25 Hz a shift of 0.2 s has fewer than five samples. */
const COARSE_INTERVAL_S = 0.04 * 1.05;

/** Judges whether a log is sampled fast enough to time shifts, and says why not. */
export function timingSuitability(statistics: TimeStatistics): TimingSuitability {
  const { medianIntervalS } = statistics;
  if (medianIntervalS === null) {
    return { kind: 'unsuitable', rateHz: null, reason: `time never advances in ${statistics.sampleCount} samples` };
  }
  const rateHz = 1 / medianIntervalS;
  const interval = `median interval ${secondsText(medianIntervalS)} (${numberText(rateHz)} Hz)`;
  if (medianIntervalS > SLOWEST_INTERVAL_S) {
    return {
      kind: 'unsuitable',
      rateHz,
      reason: `${interval}; a shift takes 0.2 to 1 s, timing it needs at least 10 Hz`,
    };
  }
  if (medianIntervalS > COARSE_INTERVAL_S) {
    return { kind: 'coarse', rateHz, reason: `${interval}; times of a shift are uncertain by about as much` };
  }
  return { kind: 'good', rateHz, reason: interval };
}

function secondsText(seconds: number): string {
  return seconds >= 1 ? `${seconds.toFixed(1)} s` : `${numberText(seconds * 1000)} ms`;
}

function numberText(value: number): string {
  return value >= 10 ? value.toFixed(0) : value.toPrecision(2);
}
