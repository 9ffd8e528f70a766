/** The values that occur more than once, each named once. */
export function findRepeated<T>(values: readonly T[]): T[] {
  return [...new Set(values.filter((value, i) => values.indexOf(value) !== i))];
}
