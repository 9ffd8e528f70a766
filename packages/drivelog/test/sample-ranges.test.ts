import fc from 'fast-check';
import { expect, it } from 'vitest';
import { rangeOfWindow, risingRuns } from '../src/index.js';

it.each([
  [0.5, 2.5, { startIndex: 0, endIndex: 4 }],
  [1, 2, { startIndex: 0, endIndex: 3 }],
  [0, 9, { startIndex: 0, endIndex: 5 }],
  [3, 9, { startIndex: 2, endIndex: 5 }],
  [5, 9, { startIndex: 0, endIndex: 0 }],
])('the window from %f to %f s holds its samples and one neighbour at each end', (startS, endS, range) => {
  expect(rangeOfWindow(Float64Array.of(0, 1, 2, 3, 4), startS, endS)).toEqual(range);
});

it('runs rise strictly, follow one another and cannot be longer', () => {
  const property = fc.property(fc.array(fc.integer({ min: 0, max: 9 })), (times) => {
    const timeS = Float64Array.from(times);
    const runs = risingRuns(timeS);
    expect(runs.flatMap(({ startIndex, endIndex }) => times.slice(startIndex, endIndex))).toEqual(times);
    for (const [i, { startIndex, endIndex }] of runs.entries()) {
      const run = times.slice(startIndex, endIndex);
      expect(run.every((t, k) => k === 0 || t > run[k - 1])).toBe(true);
      expect(i === 0 || times[startIndex] <= times[startIndex - 1]).toBe(true);
    }
  });
  fc.assert(property, { numRuns: 200, seed: 10 });
});

it('no samples make no run', () => {
  expect(risingRuns(new Float64Array(0))).toEqual([]);
});
