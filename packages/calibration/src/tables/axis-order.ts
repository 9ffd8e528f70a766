/** Index of the first break point that is no finite number or does not rise above the one before it; −1 for none. */
export function findAxisFault(breakpoints: readonly number[]): number {
  return breakpoints.findIndex((x, i) => !Number.isFinite(x) || (i > 0 && !(x > breakpoints[i - 1])));
}

/** What is wrong at a break point that `findAxisFault` found, and how to mend it. */
export function axisFaultMessage(title: string, breakpoints: readonly number[], at: number): string {
  const expected = at === 0 ? 'a finite number' : `a finite number above ${breakpoints[at - 1]}`;
  return (
    `axis '${title}', break point ${at + 1}: found ${breakpoints[at]}, expected ${expected}. ` +
    'Make the break points rise from first to last.'
  );
}
