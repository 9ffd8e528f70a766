import type { QuantileSketch } from '../summaries/quantile-sketch.js';
import { coveragePart } from './cell-key.js';
import { combineCounts, countByKey, type KeyedCounts } from './keyed-counts.js';

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
  { id: 'slipEnergyJ', step: 0.1 },
] as const;
export type SliceMeasure = (typeof SLICE_MEASURES)[number]['id'];

/** What a shift measured; null where it was not. None is below 0. */
export type MeasuredShift = Readonly<Record<SliceMeasure, number | null>>;

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
const RELATIVE_ERROR = 0.01;
const LOG_GAMMA = Math.log((1 + RELATIVE_ERROR) / (1 - RELATIVE_ERROR));

/** Bits of a key, highest first: place 16, measure 4, bucket 12. */
const BUCKET_BITS = 12;
const MEASURE_BITS = 4;
const LAST_BUCKET = 2 ** BUCKET_BITS - 1;
/** Bucket 0 is zero; bucket i holds γ^(i − OFFSET − 1) < value ≤ γ^(i − OFFSET), from 10⁻⁹ to 10²⁶. */
const OFFSET = Math.ceil(-Math.log(1e-9) / LOG_GAMMA);

function bucketOf(value: number): number {
  if (value <= 1e-9) return 0;
  return Math.min(LAST_BUCKET, Math.max(1, Math.ceil(Math.log(value) / LOG_GAMMA) + OFFSET));
}

function measureKey(cellKey: number, measure: number): number {
  return ((coveragePart(cellKey) << MEASURE_BITS) | measure) >>> 0;
}

/** What these shifts measured, by the key of their cell. Values below 0 count as 0. */
export function measuresOf(
  shifts: readonly { readonly key: number; readonly measured: MeasuredShift }[],
): MeasureSlice {
  const values = shifts.flatMap(({ key, measured }) =>
    SLICE_MEASURES.flatMap(({ id, step }, m) => {
      const value = measured[id];
      return value === null || Number.isNaN(value)
        ? []
        : [{ key: measureKey(key, m), value: Math.max(0, value), step }];
    }),
  );
  const buckets = values.map(({ key, value }) => [((key << BUCKET_BITS) | bucketOf(value)) >>> 0, [1]] as const);
  const sums = values.map(({ key, value, step }) => {
    const steps = Math.round(value / step);
    return [key, [1, steps, steps * steps]] as const;
  });
  return {
    buckets: countByKey(buckets, 1, EMPTY_MEASURES.buckets.counts),
    sums: countByKey(sums, 3, EMPTY_MEASURES.sums.counts),
  };
}

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

/** Which measures are asked for: of one kind of shift, load band or temperature band, or of all. */
export interface MeasureQuery {
  readonly measure: SliceMeasure;
  /** `coveragePart` of a cell key. */
  readonly accept?: (part: number) => boolean;
}

/** A distribution: exact count, mean and variance, and a sketch for quantiles and histograms. */
export interface Distribution {
  readonly count: number;
  /** NaN when empty. */
  readonly mean: number;
  /** Unbiased; NaN below two values. */
  readonly variance: number;
  readonly sketch: QuantileSketch;
}

/** The distribution of one measure over several slices. O(buckets). */
export function distributionOf(slices: readonly MeasureSlice[], { measure, accept }: MeasureQuery): Distribution {
  const index = SLICE_MEASURES.findIndex(({ id }) => id === measure);
  const asked = (key: number) =>
    (key & (2 ** MEASURE_BITS - 1)) === index && (accept === undefined || accept(key >>> MEASURE_BITS));
  const positive = new Map<number, number>();
  let zeroCount = 0;
  const sums = [0, 0, 0];
  for (const slice of slices) {
    slice.buckets.keys.forEach((key, i) => {
      if (!asked(key >>> BUCKET_BITS)) return;
      const bucket = key & LAST_BUCKET;
      if (bucket === 0) zeroCount += slice.buckets.counts[i];
      else positive.set(bucket - OFFSET, (positive.get(bucket - OFFSET) ?? 0) + slice.buckets.counts[i]);
    });
    const { keys, counts } = slice.sums;
    keys.forEach((key, i) => {
      if (asked(key)) for (let c = 0; c < 3; c++) sums[c] += counts[c * keys.length + i];
    });
  }
  const { step } = SLICE_MEASURES[index];
  const [count, total, squares] = sums;
  const mean = (total / count) * step;
  return {
    count,
    mean,
    variance: count < 2 ? Number.NaN : ((squares - total ** 2 / count) / (count - 1)) * step ** 2,
    sketch: { relativeError: RELATIVE_ERROR, zeroCount, positive, negative: new Map() },
  };
}

/** A slice as bytes: number of bucket keys and of sum keys, then both tables, little-endian. */
export function encodeMeasures({ buckets, sums }: MeasureSlice): Uint8Array {
  const words = 2 + buckets.keys.length * 2 + sums.keys.length;
  const bytes = new Uint8Array(4 * words + 8 * sums.counts.length);
  const view = new DataView(bytes.buffer);
  let at = 0;
  for (const word of [buckets.keys.length, sums.keys.length, ...buckets.keys, ...buckets.counts, ...sums.keys]) {
    view.setUint32(at, word, true);
    at += 4;
  }
  for (const sum of sums.counts) {
    view.setFloat64(at, sum, true);
    at += 8;
  }
  return bytes;
}

/** The slice that `encodeMeasures` wrote. Throws RangeError for bytes of another length. */
export function decodeMeasures(bytes: Uint8Array): MeasureSlice {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  const [bucketCount, sumCount] = bytes.length < 8 ? [0, 0] : [view.getUint32(0, true), view.getUint32(4, true)];
  if (bytes.length !== 8 + 8 * bucketCount + 28 * sumCount) {
    throw new RangeError(`${bytes.length} bytes are no slice of measures.`);
  }
  let at = 8;
  const words = (count: number) => Uint32Array.from({ length: count }, () => view.getUint32((at += 4) - 4, true));
  const buckets = { keys: words(bucketCount), counts: words(bucketCount) };
  const keys = words(sumCount);
  const counts = Float64Array.from({ length: 3 * sumCount }, () => view.getFloat64((at += 8) - 8, true));
  return { buckets, sums: { keys, counts } };
}
