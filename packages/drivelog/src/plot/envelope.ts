/**
 * What a pixel column must show of its samples. One entry per bucket; NaN where the bucket has no value, so that a gap
 * stays a gap.
 */
export interface Envelope {
  /** Middle of each bucket (s). */
  readonly t: Float64Array;
  readonly min: Float64Array;
  readonly max: Float64Array;
  /** First and last value by order of samples. */
  readonly first: Float64Array;
  readonly last: Float64Array;
  /** Samples with a value. */
  readonly count: Uint32Array;
}

/** A stretch of time cut into equal buckets. A sample at t belongs to it when startS ≤ t < endS. */
export interface EnvelopeWindow {
  readonly startS: number;
  readonly endS: number;
  /** One per pixel column; at least 1. */
  readonly buckets: number;
}

/**
 * Condenses a signal for drawing: lowest, highest, first and last value of each bucket, never every n-th sample, so no
 * peak is lost at any zoom. NaN values are left out. Each sample is placed by its own time; repeats and steps back are
 * allowed, and order within a bucket is the order of samples. Cost O(samples). Throws RangeError on an empty window.
 */
export function envelope(timeS: Float64Array, values: Float64Array, window: EnvelopeWindow): Envelope {
  const builder = new EnvelopeBuilder(window);
  for (let i = 0; i < timeS.length; i++) builder.addSample(timeS[i], values[i]);
  return builder.result;
}

/** Fills an envelope from samples and from already condensed runs of samples, in the order of samples. */
export class EnvelopeBuilder {
  readonly result: Envelope;
  private readonly window: EnvelopeWindow;
  private readonly bucketsPerSecond: number;

  constructor(window: EnvelopeWindow) {
    const { startS, endS, buckets } = window;
    if (!(endS > startS) || !Number.isInteger(buckets) || buckets < 1) {
      throw new RangeError(
        `envelope: needs startS < endS and at least one bucket, got ${startS} to ${endS} s in ${buckets}`,
      );
    }
    const empty = () => new Float64Array(buckets).fill(NaN);
    const width = (endS - startS) / buckets;
    this.window = window;
    this.bucketsPerSecond = buckets / (endS - startS);
    this.result = {
      t: Float64Array.from({ length: buckets }, (_, i) => startS + (i + 0.5) * width),
      min: empty(),
      max: empty(),
      first: empty(),
      last: empty(),
      count: new Uint32Array(buckets),
    };
  }

  /** Bucket of a time; -1 outside the window. Never falls as the time rises. */
  bucketOf(t: number): number {
    const { startS, endS, buckets } = this.window;
    if (!(t >= startS && t < endS)) return -1;
    return Math.min(buckets - 1, Math.floor((t - startS) * this.bucketsPerSecond));
  }

  addSample(t: number, value: number): void {
    const bucket = this.bucketOf(t);
    if (bucket >= 0 && !Number.isNaN(value)) this.addRun(bucket, value, value, value, value, 1);
  }

  /** Adds a run of `count` > 0 values that all belong to `bucket`. */
  addRun(bucket: number, min: number, max: number, first: number, last: number, count: number): void {
    const { result } = this;
    if (result.count[bucket] === 0) {
      result.first[bucket] = first;
      result.min[bucket] = min;
      result.max[bucket] = max;
    } else {
      if (min < result.min[bucket]) result.min[bucket] = min;
      if (max > result.max[bucket]) result.max[bucket] = max;
    }
    result.last[bucket] = last;
    result.count[bucket] = result.count[bucket] + count;
  }
}
