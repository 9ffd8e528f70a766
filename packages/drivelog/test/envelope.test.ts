import fc from 'fast-check';
import { expect, it } from 'vitest';
import {
  buildPyramid,
  condenseSamples,
  type EnvelopeWindow,
  envelope,
  joinLevels,
  pyramidEnvelope,
  type SampleSource,
} from '../src/index.js';

const sample = fc.record({
  stepS: fc.oneof(
    { weight: 8, arbitrary: fc.double({ min: 0, max: 0.2, noNaN: true }) },
    fc.constantFrom(0, -0.8, 3600, -0.1),
  ),
  value: fc.oneof({ weight: 8, arbitrary: fc.double({ min: -1e4, max: 1e4, noNaN: true }) }, fc.constant(NaN)),
});

/** Signals as logs hold them: uneven, with repeats, steps back, gaps of hours and missing values. */
const signal = fc.array(sample, { minLength: 1, maxLength: 400 }).map((samples) => {
  let t = 0;
  const timeS = Float64Array.from(samples, ({ stepS }) => (t += stepS));
  return { timeS, values: Float64Array.from(samples, ({ value }) => value) };
});

const window = fc.record({
  startS: fc.double({ min: -5, max: 40, noNaN: true }),
  lengthS: fc.double({ min: 0.001, max: 5000, noNaN: true }),
  buckets: fc.integer({ min: 1, max: 50 }),
});

it('lowest, highest, first and last of every bucket are those of all its samples', () => {
  const property = fc.property(signal, window, ({ timeS, values }, { startS, lengthS, buckets }) => {
    const endS = startS + lengthS;
    const found = envelope(timeS, values, { startS, endS, buckets });
    for (let k = 0; k < buckets; k++) {
      const inside = [...values].filter((value, i) => !Number.isNaN(value) && bucketOf(timeS[i]) === k);
      expect(found.count[k]).toBe(inside.length);
      expect(found.min[k]).toBe(inside.length === 0 ? NaN : Math.min(...inside));
      expect(found.max[k]).toBe(inside.length === 0 ? NaN : Math.max(...inside));
      expect([found.first[k], found.last[k]]).toEqual([inside[0] ?? NaN, inside.at(-1) ?? NaN]);
    }
    function bucketOf(t: number): number {
      return t >= startS && t < endS
        ? Math.min(buckets - 1, Math.floor(((t - startS) * buckets) / (endS - startS)))
        : -1;
    }
  });
  fc.assert(property, { numRuns: 200, seed: 7 });
});

it('the pyramid gives the same envelope as all samples, at any zoom and for any factor', () => {
  const factor = fc.integer({ min: 2, max: 9 });
  const property = fc.property(signal, window, factor, ({ timeS, values }, { startS, lengthS, buckets }, n) => {
    const asked: EnvelopeWindow = { startS, endS: startS + lengthS, buckets };
    const pyramid = buildPyramid(condenseSamples(timeS, values, n), n);
    expect(pyramidEnvelope(pyramid, sourceOf(timeS, values), asked)).toEqual(envelope(timeS, values, asked));
  });
  fc.assert(property, { numRuns: 300, seed: 8 });
});

it('levels condensed batch by batch and joined are the level of the whole', () => {
  const property = fc.property(
    signal,
    fc.integer({ min: 2, max: 8 }),
    fc.integer({ min: 1, max: 9 }),
    ({ timeS, values }, n, blocks) => {
      const length = n * blocks;
      const parts = Array.from({ length: Math.ceil(timeS.length / length) }, (_, i) =>
        condenseSamples(timeS.subarray(i * length, (i + 1) * length), values.subarray(i * length, (i + 1) * length), n),
      );
      expect(joinLevels(parts)).toEqual(condenseSamples(timeS, values, n));
    },
  );
  fc.assert(property, { numRuns: 100, seed: 9 });
});

it('a batch that ends within a block cannot be joined to a later one', () => {
  const part = condenseSamples(Float64Array.of(0, 1, 2), Float64Array.of(1, 2, 3), 2);
  expect(() => joinLevels([part, part])).toThrow(RangeError);
});

it('a spike of one sample in a million is kept at full zoom out, and few samples are touched', () => {
  const timeS = Float64Array.from({ length: 1_000_000 }, (_, i) => i / 100);
  const values = Float64Array.from({ length: 1_000_000 }, (_, i) => (i === 654_321 ? 9000 : i % 7));
  let touched = 0;
  const source = sourceOf(timeS, values);
  const counting: SampleSource = (startIndex, endIndex) => {
    touched += endIndex - startIndex;
    return source(startIndex, endIndex);
  };
  const found = pyramidEnvelope(buildPyramid(condenseSamples(timeS, values)), counting, {
    startS: 0,
    endS: 10_000,
    buckets: 1000,
  });
  expect(Math.max(...found.max)).toBe(9000);
  expect(found.max[654]).toBe(9000);
  expect(touched).toBeLessThanOrEqual(1000 * 16);
});

it('a gap stays a gap and times are the middles of the buckets', () => {
  const found = envelope(Float64Array.of(0, 1, 9), Float64Array.of(5, 6, 7), { startS: 0, endS: 10, buckets: 5 });
  expect([...found.t]).toEqual([1, 3, 5, 7, 9]);
  expect([...found.max]).toEqual([6, NaN, NaN, NaN, 7]);
  expect([...found.count]).toEqual([2, 0, 0, 0, 1]);
});

it.each([
  { startS: 1, endS: 1, buckets: 3 },
  { startS: 0, endS: NaN, buckets: 3 },
  { startS: 0, endS: 1, buckets: 0 },
  { startS: 0, endS: 1, buckets: 1.5 },
])('the window %j is refused', (asked) => {
  expect(() => envelope(Float64Array.of(0), Float64Array.of(1), asked)).toThrow(RangeError);
});

function sourceOf(timeS: Float64Array, values: Float64Array): SampleSource {
  return (startIndex, endIndex) => ({
    timeS: timeS.subarray(startIndex, endIndex),
    values: values.subarray(startIndex, endIndex),
  });
}
