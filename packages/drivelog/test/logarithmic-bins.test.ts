import fc from 'fast-check';
import { expect, it } from 'vitest';
import { LogarithmicBins } from '../src/logarithmic-bins.js';

const RANGE = { fromExponent: -9, toExponent: 9 };

/** Bins of 0.5 %, as those of ratios, and of 1.5 %, as those of intervals. */
const FUNCTIONS: [string, (value: number) => number][] = [
  ['rounded natural logarithms', (value) => Math.round(Math.log(value) / 0.005) + 200_000],
  ['binary logarithms cut off', (value) => Math.max(0, Math.floor((Math.log2(value) + 20) * 48))],
];

it.each(FUNCTIONS)('%s are told as the function itself tells them, whatever was asked before', (_, binOf) => {
  const bins = new LogarithmicBins(binOf, RANGE);
  const near = fc.double({ min: 2 ** RANGE.fromExponent, max: 2 ** RANGE.toExponent, noNaN: true });
  const any = fc.double({ min: Number.MIN_VALUE, noNaN: true });
  const asked = fc.oneof({ weight: 5, arbitrary: near }, any);
  fc.assert(
    fc.property(asked, (value) => {
      expect(bins.of(value)).toBe(binOf(value));
    }),
    { numRuns: 20_000 },
  );
});

it.each(FUNCTIONS)('%s change at the very number at which the function does', (_, binOf) => {
  const bins = new LogarithmicBins(binOf, RANGE);
  let [low, high] = [1.9, 2.1];
  while (low < (low + high) / 2 && (low + high) / 2 < high) {
    const middle = (low + high) / 2;
    if (binOf(middle) === binOf(1.9)) low = middle;
    else high = middle;
  }
  expect([bins.of(low), bins.of(high)]).toEqual([binOf(low), binOf(high)]);
  expect(bins.of(high)).toBe(bins.of(low) + 1);
});
