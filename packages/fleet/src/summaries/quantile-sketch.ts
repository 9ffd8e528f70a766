/**
 * Quantiles of a stream in bounded space: counts by logarithmic buckets, so that each answer is within a relative error
 * of a value of that rank, and merging, in any order, gives exactly the sketch of the whole. Taking values back out is
 * exact too. Source of the idea: Masson, Rim and Lee 2019, PVLDB 12, 2195–2205.
 */
export interface QuantileSketch {
  /** α: answers are within ±α of the truth, relative. 0 < α < 1. */
  readonly relativeError: number;
  /** Values too small to tell from 0. */
  readonly zeroCount: number;
  /** Count by bucket: i holds γ^(i−1) < |value| ≤ γ^i with γ = (1 + α)/(1 − α). No zero counts. */
  readonly positive: ReadonlyMap<number, number>;
  readonly negative: ReadonlyMap<number, number>;
}

/** Magnitudes below this count as 0; far below the resolution of any measure kept. */
const SMALLEST_MAGNITUDE = 1e-9;

/** Sketch of `values`; NaN stands for a value that was not measured and is passed over, infinities throw. */
export function sketchOf(values: ArrayLike<number>, { relativeError = 0.01 } = {}): QuantileSketch {
  if (!(relativeError > 0 && relativeError < 1)) {
    throw new RangeError(`sketchOf needs 0 < relativeError < 1, found ${relativeError}`);
  }
  const positive = new Map<number, number>();
  const negative = new Map<number, number>();
  const logGamma = Math.log((1 + relativeError) / (1 - relativeError));
  let zeroCount = 0;
  for (let i = 0; i < values.length; i += 1) {
    const value = values[i];
    if (Number.isNaN(value)) continue;
    const magnitude = Math.abs(value);
    if (magnitude === Number.POSITIVE_INFINITY) throw new RangeError('sketchOf needs finite values');
    if (magnitude < SMALLEST_MAGNITUDE) zeroCount += 1;
    else addCount(value > 0 ? positive : negative, Math.ceil(Math.log(magnitude) / logGamma), 1);
  }
  return { relativeError, zeroCount, positive, negative };
}

/** Sketch of both together. Throws when their relative errors differ. */
export function mergeSketches(a: QuantileSketch, b: QuantileSketch): QuantileSketch {
  return combine(a, b, 1);
}

/** Takes the values of `part` out of `whole`, in which they must be. */
export function subtractSketch(whole: QuantileSketch, part: QuantileSketch): QuantileSketch {
  return combine(whole, part, -1);
}

function combine(a: QuantileSketch, b: QuantileSketch, sign: 1 | -1): QuantileSketch {
  if (a.relativeError !== b.relativeError) {
    throw new RangeError(`sketches of relative error ${a.relativeError} and ${b.relativeError} do not combine`);
  }
  const combineSide = (x: ReadonlyMap<number, number>, y: ReadonlyMap<number, number>) => {
    const counts = new Map(x);
    for (const [bucket, count] of y) addCount(counts, bucket, sign * count);
    return counts;
  };
  return {
    relativeError: a.relativeError,
    zeroCount: a.zeroCount + sign * b.zeroCount,
    positive: combineSide(a.positive, b.positive),
    negative: combineSide(a.negative, b.negative),
  };
}

function addCount(counts: Map<number, number>, bucket: number, by: number): void {
  const count = (counts.get(bucket) ?? 0) + by;
  if (count === 0) counts.delete(bucket);
  else counts.set(bucket, count);
}

/** Number of values in a sketch. */
export function sketchCount({ zeroCount, positive, negative }: QuantileSketch): number {
  let count = zeroCount;
  for (const n of positive.values()) count += n;
  for (const n of negative.values()) count += n;
  return count;
}

/**
 * The value of rank ⌊q (n − 1)⌋ counted from 0, within the relative error. NaN when empty. 0 ≤ q ≤ 1.
 * O(buckets · log buckets).
 */
export function sketchQuantile(sketch: QuantileSketch, q: number): number {
  if (!(q >= 0 && q <= 1)) throw new RangeError(`sketchQuantile needs 0 ≤ q ≤ 1, found ${q}`);
  const count = sketchCount(sketch);
  if (count === 0) return Number.NaN;
  const gamma = (1 + sketch.relativeError) / (1 - sketch.relativeError);
  const representative = (bucket: number) => (2 * gamma ** bucket) / (gamma + 1);
  const steps = [
    ...ascending(sketch.negative)
      .reverse()
      .map(([bucket, n]) => ({ value: -representative(bucket), n })),
    { value: 0, n: sketch.zeroCount },
    ...ascending(sketch.positive).map(([bucket, n]) => ({ value: representative(bucket), n })),
  ];
  let below = 0;
  const rank = Math.floor(q * (count - 1));
  for (const { value, n } of steps) {
    below += n;
    if (rank < below) return value;
  }
  return Number.NaN;
}

function ascending(counts: ReadonlyMap<number, number>): [number, number][] {
  return [...counts].sort(([a], [b]) => a - b);
}

/**
 * A sketch as numbers for storage: relative error, zeros, number of negative buckets, then bucket and count in turn,
 * negative side first, ascending. Equal sketches give equal arrays.
 */
export function encodeSketch({ relativeError, zeroCount, positive, negative }: QuantileSketch): Float64Array {
  return Float64Array.from([
    relativeError,
    zeroCount,
    negative.size,
    ...ascending(negative).flat(),
    ...ascending(positive).flat(),
  ]);
}

/** The sketch that `encodeSketch` wrote. */
export function decodeSketch(encoded: Float64Array): QuantileSketch {
  const [relativeError, zeroCount, negativeSize] = encoded;
  const pairs = Array.from({ length: (encoded.length - 3) / 2 }, (_, i): [number, number] => [
    encoded[3 + 2 * i],
    encoded[4 + 2 * i],
  ]);
  return {
    relativeError,
    zeroCount,
    negative: new Map(pairs.slice(0, negativeSize)),
    positive: new Map(pairs.slice(negativeSize)),
  };
}
