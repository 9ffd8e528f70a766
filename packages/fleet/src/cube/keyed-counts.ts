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
 * count would fall below 0: then what is taken out was never in it. O(keys of both).
 */
export function combineCounts<Counts extends Uint32Array | Float64Array>(
  a: KeyedCounts<Counts>,
  b: KeyedCounts<Counts>,
  sign: 1 | -1,
  names: readonly string[],
): KeyedCounts<Counts> {
  const keys = mergeKeys(a.keys, b.keys);
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
  return sign === 1 ? { keys, counts } : withoutEmpty({ keys, counts });
}

/** Both in order, each key once. */
function mergeKeys(a: Uint32Array, b: Uint32Array): Uint32Array {
  const keys = new Uint32Array(a.length + b.length);
  let [i, j, n] = [0, 0, 0];
  while (i < a.length && j < b.length) {
    const key = Math.min(a[i], b[j]);
    if (a[i] === key) i++;
    if (b[j] === key) j++;
    keys[n++] = key;
  }
  keys.set(a.subarray(i), n);
  keys.set(b.subarray(j), n + a.length - i);
  return keys.slice(0, n + a.length - i + b.length - j);
}

/** Adds up single entries by key, in any order. */
export class KeyedCounter {
  private readonly width: number;
  private readonly places = new Map<number, number>();
  private sums: Float64Array;

  constructor(width: number) {
    this.width = width;
    this.sums = new Float64Array(64 * width);
  }

  add(key: number, counts: ArrayLike<number>): void {
    let place = this.places.get(key);
    if (place === undefined) this.places.set(key, (place = this.makeRoom()));
    for (let c = 0; c < this.width; c++) this.sums[place + c] += counts[c];
  }

  /** What was added so far, in arrays like `empty`. O(n log n). */
  counted<Counts extends Uint32Array | Float64Array>(empty: Counts): KeyedCounts<Counts> {
    const keys = Uint32Array.from(this.places.keys()).sort();
    const counts = emptyLike(empty, keys.length * this.width);
    keys.forEach((key, i) => {
      const place = this.places.get(key) ?? 0;
      for (let c = 0; c < this.width; c++) counts[c * keys.length + i] = this.sums[place + c];
    });
    return { keys, counts };
  }

  private makeRoom(): number {
    const place = this.places.size * this.width;
    if (place === this.sums.length) {
      const larger = new Float64Array(2 * place);
      larger.set(this.sums);
      this.sums = larger;
    }
    return place;
  }
}

/** Whether both hold the same. */
export function sameCounts<Counts extends Uint32Array | Float64Array>(
  a: KeyedCounts<Counts>,
  b: KeyedCounts<Counts>,
): boolean {
  return sameValues(a.keys, b.keys) && sameValues(a.counts, b.counts);
}

function sameValues(a: ArrayLike<number>, b: ArrayLike<number>): boolean {
  if (a.length !== b.length) return false;
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return false;
  return true;
}

function withoutEmpty<Counts extends Uint32Array | Float64Array>({ keys, counts }: KeyedCounts<Counts>) {
  const kept = keys.filter((_, i) => counts[i] > 0);
  if (kept.length === keys.length) return { keys, counts };
  return { keys: kept, counts: counts.filter((_, at) => counts[at % keys.length] > 0) as Counts };
}

function emptyLike<Counts extends Uint32Array | Float64Array>(counts: Counts, length: number): Counts {
  return new (counts.constructor as new (length: number) => Counts)(length);
}
