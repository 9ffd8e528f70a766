export type Key = string | number;

/** Keys as running numbers in order of first appearance. */
export interface KeyIndex {
  readonly keys: readonly Key[];
  readonly count: number;
  /** Number of each input key. */
  readonly index: Int32Array;
}

export function keyIndex(values: readonly Key[]): KeyIndex {
  const numbers = new Map<Key, number>();
  const index = Int32Array.from(values, (value) => {
    const known = numbers.get(value);
    if (known !== undefined) return known;
    numbers.set(value, numbers.size);
    return numbers.size - 1;
  });
  return { keys: [...numbers.keys()], count: numbers.size, index };
}
