import { coveragePart } from './cell-key.js';
import { combineCounts, KeyedCounter, type KeyedCounts, sameCounts } from './keyed-counts.js';
import { bytesOf, doublesOf, wordsOf } from './little-endian.js';

/**
 * Measures of which distributions are kept, with the step that sums count in. A step far below what a log resolves
 * keeps sums whole numbers, and so exact when a log is taken out again. Part of the data on disk: never reorder.
 */
export const SLICE_MEASURES = [
  { id: 'flareRpm', step: 0.01 },
  { id: 'shiftTimeS', step: 0.0001 },
  { id: 'inertiaTimeS', step: 0.0001 },
  { id: 'delayS', step: 0.0001 },
  { id: 'peakJerk', step: 0.001 },
  { id: 'tieUpDepth', step: 0.0001 },
  { id: 'slipEnergyJ', step: 1 },
] as const;
export type SliceMeasure = (typeof SLICE_MEASURES)[number]['id'];

/**
 * Measures of one vehicle under one revision by shift kind, load band and temperature band. `buckets` counts values by
 * logarithmic buckets (`measureKey`), from which quantiles follow; `sums` holds count, sum and sum of squares in
 * steps, from which mean and variance follow exactly.
 */
export interface MeasureSlice {
  readonly buckets: KeyedCounts<Uint32Array>;
  readonly sums: KeyedCounts<Float64Array>;
}

export const EMPTY_MEASURES: MeasureSlice = {
  buckets: { keys: new Uint32Array(0), counts: new Uint32Array(0) },
  sums: { keys: new Uint32Array(0), counts: new Float64Array(0) },
};

/** Quantiles are within this share of a value of that rank. */
export const RELATIVE_ERROR = 0.01;
const LOG_GAMMA = Math.log((1 + RELATIVE_ERROR) / (1 - RELATIVE_ERROR));

/**
 * Bits of a key, highest first: measure 4, place 16 (`coveragePart`), bucket 12; so that what is kept of one measure
 * lies together. Keys of sums have no bucket. Part of the data on disk.
 */
const BUCKET_BITS = 12;
const PLACE_BITS = 16;
export const BUCKET_LIMIT = 2 ** BUCKET_BITS;
const PLACE_LIMIT = 2 ** PLACE_BITS;
/** Bucket 0 is zero; bucket i holds γ^(i − OFFSET − 1) < value ≤ γ^(i − OFFSET), from 10⁻⁹ to 10²⁶. */
export const BUCKET_OFFSET = Math.ceil(-Math.log(1e-9) / LOG_GAMMA);
/** Values count as this many steps at most, so that eight thousand of the largest keep their sum of squares exact. */
const MAX_STEPS = 2 ** 20;

function bucketOf(value: number): number {
  if (value <= 1e-9) return 0;
  return Math.min(BUCKET_LIMIT - 1, Math.max(1, Math.ceil(Math.log(value) / LOG_GAMMA) + BUCKET_OFFSET));
}

/** What a shift measured, in the order of `SLICE_MEASURES`; NaN where it was not. */
export interface MeasuredCell {
  readonly key: number;
  readonly measured: ArrayLike<number>;
}

/**
 * What these shifts measured, by the key of their cell. Values below 0 count as 0, and those above 2^20 steps (10,486
 * rpm, 105 s, 1,049 m/s³, 1.05 MJ) as that.
 */
export function measuresOf(shifts: Iterable<MeasuredCell>): MeasureSlice {
  const counter = new MeasureCounter();
  for (const { key, measured } of shifts) counter.add(key, measured);
  return counter.counted();
}

/** Adds up measures shift by shift. */
export class MeasureCounter {
  private readonly buckets = new KeyedCounter(1);
  private readonly sums = new KeyedCounter(3);

  /** Of a shift in the cell of this key; see `MeasuredCell`. */
  add(key: number, measured: ArrayLike<number>): void {
    const place = coveragePart(key);
    for (let m = 0; m < SLICE_MEASURES.length; m++) {
      if (Number.isNaN(measured[m])) continue;
      const { step } = SLICE_MEASURES[m];
      const steps = Math.min(MAX_STEPS, Math.max(0, Math.round(measured[m] / step)));
      const sumKey = m * PLACE_LIMIT + place;
      this.buckets.add(sumKey * BUCKET_LIMIT + bucketOf(Math.min(measured[m], MAX_STEPS * step)), ONE);
      this.sums.add(sumKey, [1, steps, steps * steps]);
    }
  }

  counted(): MeasureSlice {
    return {
      buckets: this.buckets.counted(EMPTY_MEASURES.buckets.counts),
      sums: this.sums.counted(EMPTY_MEASURES.sums.counts),
    };
  }
}

const ONE = [1];
const BUCKET_NAMES = ['values'];
const SUM_NAMES = ['values', 'steps', 'squared steps'];

export function addMeasures(a: MeasureSlice, b: MeasureSlice): MeasureSlice {
  return combine(a, b, 1);
}

/** Takes `part` out of `whole`. Throws RangeError when it was not in it. */
export function subtractMeasures(whole: MeasureSlice, part: MeasureSlice): MeasureSlice {
  return combine(whole, part, -1);
}

function combine(a: MeasureSlice, b: MeasureSlice, sign: 1 | -1): MeasureSlice {
  return {
    buckets: combineCounts(a.buckets, b.buckets, sign, BUCKET_NAMES),
    sums: combineCounts(a.sums, b.sums, sign, SUM_NAMES),
  };
}

export function sameMeasures(a: MeasureSlice, b: MeasureSlice): boolean {
  return sameCounts(a.buckets, b.buckets) && sameCounts(a.sums, b.sums);
}

/** Calls back for each place and bucket that a measure was counted in. O(those). */
export function eachBucket(
  { buckets: { keys, counts } }: MeasureSlice,
  measure: SliceMeasure,
  visit: (place: number, bucket: number, count: number) => void,
): void {
  const m = indexOf(measure);
  const scale = PLACE_LIMIT * BUCKET_LIMIT;
  const end = firstAtLeast(keys, (m + 1) * scale);
  for (let i = firstAtLeast(keys, m * scale); i < end; i++) {
    visit((keys[i] >>> BUCKET_BITS) % PLACE_LIMIT, keys[i] % BUCKET_LIMIT, counts[i]);
  }
}

/** Calls back for each place that a measure was counted in, with number, sum and sum of squares in steps. O(those). */
export function eachSum(
  { sums: { keys, counts } }: MeasureSlice,
  measure: SliceMeasure,
  visit: (place: number, count: number, steps: number, squares: number) => void,
): void {
  const m = indexOf(measure);
  const end = firstAtLeast(keys, (m + 1) * PLACE_LIMIT);
  for (let i = firstAtLeast(keys, m * PLACE_LIMIT); i < end; i++) {
    visit(keys[i] % PLACE_LIMIT, counts[i], counts[keys.length + i], counts[2 * keys.length + i]);
  }
}

function indexOf(measure: SliceMeasure): number {
  return SLICE_MEASURES.findIndex(({ id }) => id === measure);
}

/** The step of a measure in its unit. */
export function stepOf(measure: SliceMeasure): number {
  return SLICE_MEASURES[indexOf(measure)].step;
}

function firstAtLeast(keys: Uint32Array, bound: number): number {
  let [low, high] = [0, keys.length];
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (keys[middle] < bound) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** A slice as bytes: number of bucket keys and of sum keys, then both tables, little-endian. */
export function encodeMeasures({ buckets, sums }: MeasureSlice): Uint8Array {
  const head = Uint32Array.of(buckets.keys.length, sums.keys.length);
  return bytesOf(head, buckets.keys, buckets.counts, sums.keys, sums.counts);
}

/** The slice that `encodeMeasures` wrote. Throws RangeError for bytes of another length. */
export function decodeMeasures(bytes: Uint8Array): MeasureSlice {
  const [bucketCount, sumCount] = bytes.length < 8 ? [0, 0] : wordsOf(bytes.subarray(0, 8));
  const wordEnd = 8 + 8 * bucketCount + 4 * sumCount;
  if (bytes.length !== wordEnd + 24 * sumCount) throw new RangeError(`${bytes.length} bytes are no slice of measures.`);
  const words = wordsOf(bytes.subarray(8, wordEnd));
  return {
    buckets: { keys: words.subarray(0, bucketCount), counts: words.subarray(bucketCount, 2 * bucketCount) },
    sums: { keys: words.subarray(2 * bucketCount), counts: doublesOf(bytes.subarray(wordEnd)) },
  };
}
