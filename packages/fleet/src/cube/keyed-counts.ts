/**
 * Whole numbers by key, column after column: column c of key i lies at `c · keys.length + i`. The form in which
 * summaries are kept, added and taken back, exactly and in any order.
 */
export interface KeyedCounts<Counts extends Uint32Array | Float64Array> {
  /** Strictly rising. */
  readonly keys: Uint32Array;
  readonly counts: Counts;
}

/**
 * Adds (`sign` 1) or takes out (−1). Keys whose first count comes to 0 are left out. Throws RangeError when a
 * count would fall below 0: then what is taken out was never in it.
 */
export function combineCounts<Counts extends Uint32Array | Float64Array>(
  a: KeyedCounts<Counts>,
  b: KeyedCounts<Counts>,
  sign: 1 | -1,
  names: readonly string[],
): KeyedCounts<Counts> {
  const keys = Uint32Array.from(new Set([...a.keys, ...b.keys])).sort();
  const counts = emptyLike(a.counts, keys.length * names.length);
  names.forEach((name, c) => {
    let [i, j] = [0, 0];
    for (let n = 0; n < keys.length; n++) {
      const left = a.keys[i] === keys[n] ? a.counts[c * a.keys.length + i++] : 0;
      const right = b.keys[j] === keys[n] ? b.counts[c * b.keys.length + j++] : 0;
      const count = left + sign * right;
      if (count < 0) throw new RangeError(`Cell ${keys[n]} of a summary would count ${count} ${name}.`);
      counts[c * keys.length + n] = count;
    }
  });
  return withoutEmpty({ keys, counts });
}

/** Sums by key from single entries, in any order. O(n log n). */
export function countByKey<Counts extends Uint32Array | Float64Array>(
  entries: Iterable<readonly [key: number, counts: ArrayLike<number>]>,
  width: number,
  empty: Counts,
): KeyedCounts<Counts> {
  const sums = new Map<number, Float64Array>();
  for (const [key, counts] of entries) {
    let sum = sums.get(key);
    if (sum === undefined) sums.set(key, (sum = new Float64Array(width)));
    for (let c = 0; c < width; c++) sum[c] += counts[c];
  }
  const keys = Uint32Array.from(sums.keys()).sort();
  const counts = emptyLike(empty, keys.length * width);
  keys.forEach((key, i) => {
    sums.get(key)?.forEach((count, c) => (counts[c * keys.length + i] = count));
  });
  return { keys, counts };
}

function withoutEmpty<Counts extends Uint32Array | Float64Array>({ keys, counts }: KeyedCounts<Counts>) {
  const kept = keys.filter((_, i) => counts[i] > 0);
  if (kept.length === keys.length) return { keys, counts };
  return { keys: kept, counts: counts.filter((_, at) => counts[at % keys.length] > 0) as Counts };
}

function emptyLike<Counts extends Uint32Array | Float64Array>(counts: Counts, length: number): Counts {
  return new (counts.constructor as new (length: number) => Counts)(length);
}
