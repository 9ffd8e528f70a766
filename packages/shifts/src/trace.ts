import { fitLocalQuadratic, type LocalFit } from './local-fit.js';
import { KEPT_SAMPLES, type SampleWindow } from './sample-window.js';

/** The output speed rests on the car's inertia and bears a wide fit: 150 ms in all (methods.md 3). */
export const OUTPUT_HALF_S = 0.075;
/** Half widths of the local quadratic fits (s), and the sampling intervals that they reach at least. */
const INPUT_FIT = { halfS: 0.035, leastIntervals: 1.5 };
const OUTPUT_FIT = { halfS: OUTPUT_HALF_S, leastIntervals: 2.2 };
/** A quadratic through fewer samples smooths nothing: the sample itself is taken. */
const LEAST_SMOOTHED = 4;

/**
 * A stretch of a log made ready for timing: the samples that have both speeds, in strictly rising time (samples that
 * share a time are one instant and are averaged). The smoothed columns hold from `smoothedFrom` on; `smooth` extends
 * them backwards.
 */
export class Trace {
  readonly timeS = new Float64Array(KEPT_SAMPLES);
  readonly inputRpm = new Float64Array(KEPT_SAMPLES);
  readonly outputRpm = new Float64Array(KEPT_SAMPLES);
  /** Index in the whole log of the first sample of each instant. */
  readonly sampleIndex = new Float64Array(KEPT_SAMPLES);
  readonly smoothInputRpm = new Float64Array(KEPT_SAMPLES);
  readonly smoothOutputRpm = new Float64Array(KEPT_SAMPLES);
  /** Slopes of the fits (rpm/s). */
  readonly inputSlope = new Float64Array(KEPT_SAMPLES);
  readonly outputSlope = new Float64Array(KEPT_SAMPLES);
  /** Room for what is worked out of the output speed, instant by instant. */
  readonly acceleration = new Float64Array(KEPT_SAMPLES);
  length = 0;
  smoothedFrom = 0;
  private readonly fit: LocalFit = { value: 0, slope: 0, curvature: 0, count: 0 };

  /** Loads the samples from time `fromS` and index `fromIndex` on, up to index `endIndex` (exclusive). */
  load(window: SampleWindow, range: { fromS: number; fromIndex: number; endIndex: number }): void {
    const input = window.columns.inputSpeed as Float64Array;
    const output = window.columns.outputSpeed as Float64Array;
    const endSlot = range.endIndex - window.firstIndex;
    const leastSlot = Math.max(0, range.fromIndex - window.firstIndex, endSlot - KEPT_SAMPLES);
    let slot = endSlot;
    while (slot > leastSlot && (window.clockS[slot - 1] as number) >= range.fromS) slot--;
    this.length = 0;
    let sharing = 0;
    for (; slot < endSlot; slot++) {
      const inputRpm = input[slot] as number;
      const outputRpm = output[slot] as number;
      if (Number.isNaN(inputRpm + outputRpm)) continue;
      const timeS = window.clockS[slot] as number;
      if (this.length === 0 || timeS > (this.timeS[this.length - 1] as number)) {
        sharing = 0;
        this.begin(timeS, slot + window.firstIndex);
      }
      sharing++;
      this.average(inputRpm, outputRpm, sharing);
    }
    this.smoothedFrom = this.length;
  }

  private begin(timeS: number, sampleIndex: number): void {
    this.timeS[this.length] = timeS;
    this.sampleIndex[this.length] = sampleIndex;
    this.inputRpm[this.length] = 0;
    this.outputRpm[this.length] = 0;
    this.length++;
  }

  private average(inputRpm: number, outputRpm: number, sharing: number): void {
    const last = this.length - 1;
    this.inputRpm[last] = (this.inputRpm[last] as number) + (inputRpm - (this.inputRpm[last] as number)) / sharing;
    this.outputRpm[last] = (this.outputRpm[last] as number) + (outputRpm - (this.outputRpm[last] as number)) / sharing;
  }

  /** Mean interval between instants (s). */
  get intervalS(): number {
    return ((this.timeS[this.length - 1] as number) - (this.timeS[0] as number)) / Math.max(1, this.length - 1);
  }

  /** Extends the smoothed columns back to the first instant at or after `fromS`. */
  smooth(fromS: number): void {
    const from = this.positionAt(fromS);
    const to = this.smoothedFrom;
    if (from >= to) return;
    this.smoothColumn(this.inputRpm, this.smoothInputRpm, this.inputSlope, { from, to, ...INPUT_FIT });
    this.smoothColumn(this.outputRpm, this.smoothOutputRpm, this.outputSlope, { from, to, ...OUTPUT_FIT });
    this.smoothedFrom = from;
  }

  private smoothColumn(
    source: Float64Array,
    values: Float64Array,
    slopes: Float64Array,
    fit: { from: number; to: number; halfS: number; leastIntervals: number },
  ): void {
    const reachS = Math.max(fit.halfS, fit.leastIntervals * this.intervalS) + 1e-6;
    const range = { from: fit.from, to: fit.from, atS: 0 };
    while (range.from > 0 && (this.timeS[fit.from] as number) - (this.timeS[range.from - 1] as number) <= reachS) {
      range.from--;
    }
    for (let i = fit.from; i < fit.to; i++) {
      const atS = this.timeS[i] as number;
      range.atS = atS;
      while (atS - (this.timeS[range.from] as number) > reachS) range.from++;
      while (range.to < this.length && (this.timeS[range.to] as number) - atS <= reachS) range.to++;
      fitLocalQuadratic(this.timeS, source, range, this.fit);
      values[i] = this.fit.count < LEAST_SMOOTHED ? (source[i] as number) : this.fit.value;
      slopes[i] = this.fit.slope;
    }
  }

  /** First instant at or after a time; `length` when there is none. */
  positionAt(timeS: number): number {
    let low = 0;
    let high = this.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if ((this.timeS[middle] as number) < timeS) low = middle + 1;
      else high = middle;
    }
    return low;
  }

  /** The last instant whose samples begin at or before an index of the whole log. */
  positionOfIndex(index: number): number {
    let position = this.length - 1;
    while (position > 0 && (this.sampleIndex[position] as number) > index) position--;
    return position;
  }

  /** Smoothed departure from the line of a ratio (rpm). */
  departure(position: number, ratio: number): number {
    return (this.smoothInputRpm[position] as number) - ratio * (this.smoothOutputRpm[position] as number);
  }
}
