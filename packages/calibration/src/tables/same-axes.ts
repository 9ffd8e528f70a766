/** Whether two lists hold the same numbers in the same order. */
export function sameNumbers(a: readonly number[], b: readonly number[]): boolean {
  return a.length === b.length && a.every((value, i) => value === b[i]);
}

/** Whether two sets of axes have the same break points. */
export function sameAxes(a: readonly (readonly number[])[], b: readonly (readonly number[])[]): boolean {
  return a.length === b.length && a.every((axis, i) => sameNumbers(axis, b[i]));
}
