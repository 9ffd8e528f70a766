import type { Grade } from '@syncline/shifts';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  bandIndex,
  bandLabel,
  bandLabels,
  bandLimits,
  bandsOf,
  DEFAULT_FLEET_BANDS,
  UNKNOWN_BAND,
} from '../src/summaries/bands.js';
import {
  countShift,
  type GradeCounts,
  gradeRate,
  mergeGradeCounts,
  NO_SHIFTS,
  subtractGradeCounts,
} from '../src/summaries/grade-counts.js';
import { mergeMoments, momentsOf, NO_MOMENTS, varianceOf } from '../src/summaries/moments.js';
import {
  decodeSketch,
  encodeSketch,
  mergeSketches,
  sketchCount,
  sketchOf,
  sketchQuantile,
  subtractSketch,
} from '../src/summaries/quantile-sketch.js';

describe('bands', () => {
  const edges = [15, 30, 45];

  it.each([
    [-5, 0],
    [14.99, 0],
    [15, 1],
    [30, 2],
    [44.9, 2],
    [45, 3],
    [1e9, 3],
    [null, UNKNOWN_BAND],
    [Number.NaN, UNKNOWN_BAND],
  ])('%s belongs to band %i', (value, band) => expect(bandIndex(edges, value)).toBe(band));

  it('hold every value between their limits', () => {
    fc.assert(
      fc.property(fc.double({ min: -100, max: 200, noNaN: true }), (value) => {
        const { low, high } = bandLimits(edges, bandIndex(edges, value));
        expect(value >= low && value < high).toBe(true);
      }),
    );
  });

  it('are named with their unit', () => {
    const load = { title: 'load', unit: '%', edges: [15, 30] };
    expect(bandLabels(load)).toEqual(['below 15 %', '15–30 %', '30 % and above']);
    expect(bandLabel(load, UNKNOWN_BAND)).toBe('not logged');
    expect(bandLabels({ ...load, edges: [] })).toEqual(['any']);
  });

  it('are found for a shift, with what was not logged unknown', () => {
    const at = { load: 50, outputSpeedRpm: 1200, fluidTemperatureC: null };
    expect(bandsOf(at, DEFAULT_FLEET_BANDS)).toEqual({ load: 3, speed: 2, temperature: UNKNOWN_BAND });
  });
});

describe('grade counts', () => {
  it('count a shift once in each of its grades and a clean one in none', () => {
    expect(countShift(['flare', 'slow'])).toEqual({ ...NO_SHIFTS, shifts: 1, flare: 1, slow: 1 });
    expect(countShift(['clean'])).toEqual({ ...NO_SHIFTS, shifts: 1 });
    expect(countShift(['tie-up', 'harsh', 'incomplete'])).toEqual({
      ...NO_SHIFTS,
      shifts: 1,
      tieUp: 1,
      harsh: 1,
      incomplete: 1,
    });
  });

  it('merge in any order to the whole and are taken back exactly', () => {
    const grade = fc.constantFrom<Grade>('clean', 'flare', 'tie-up', 'harsh', 'slow', 'incomplete');
    const shifts = fc.array(fc.uniqueArray(grade, { minLength: 1, maxLength: 3 }), { maxLength: 30 });
    const total = (list: readonly Grade[][]) => list.map(countShift).reduce(mergeGradeCounts, NO_SHIFTS);
    fc.assert(
      fc.property(shifts, shifts, (first, second) => {
        const whole = total([...first, ...second]);
        expect(mergeGradeCounts(total(second), total(first))).toEqual(whole);
        expect(subtractGradeCounts(whole, total(second))).toEqual(total(first));
      }),
    );
  });

  it('give the rate of one grade over the vehicles of a cell', () => {
    const cell: GradeCounts[] = [1, 2, 3].map((flare) => ({ ...NO_SHIFTS, shifts: 20, flare }));
    expect(gradeRate(cell, 'flare')).toMatchObject({ kind: 'estimate', rate: 0.1, shifts: 60, vehicles: 3 });
    expect(gradeRate(cell.slice(1), 'flare')).toMatchObject({ kind: 'insufficient', reason: 'tooFewVehicles' });
  });
});

const measurements = fc.array(fc.double({ min: -1e4, max: 1e4, noNaN: true }), { maxLength: 60 });

describe('moments', () => {
  it('are those of the published NumAcc4 set, mean 10000000.2 and standard deviation 0.1', () => {
    // NIST Statistical Reference Datasets, NumAcc4: 10000000.2, then 10000000.1 and .3 in turn, 1,001 values.
    const values = Float64Array.from({ length: 1001 }, (_, i) =>
      i === 0 ? 10000000.2 : i % 2 ? 10000000.1 : 10000000.3,
    );
    const halves = mergeMoments(momentsOf(values.subarray(0, 400)), momentsOf(values.subarray(400)));
    for (const { mean, sd } of [momentsOf(values), halves].map((m) => ({
      mean: m.mean,
      sd: Math.sqrt(varianceOf(m)),
    }))) {
      expect(mean).toBeCloseTo(10000000.2, 7);
      expect(sd).toBeCloseTo(0.1, 7);
    }
  });

  it('merge in any order to the whole', () => {
    fc.assert(
      fc.property(measurements, measurements, measurements, (a, b, c) => {
        const whole = momentsOf([...a, ...b, ...c]);
        const merged = mergeMoments(momentsOf(c), mergeMoments(momentsOf(a), momentsOf(b)));
        expect(merged.count).toBe(whole.count);
        if (whole.count === 0) return;
        expect(merged.mean).toBeCloseTo(whole.mean, 8);
        expect(Math.abs(merged.m2 - whole.m2)).toBeLessThanOrEqual(1e-9 * (1 + whole.m2));
      }),
    );
  });

  it('pass over what was not measured and have no mean of nothing', () => {
    expect(momentsOf([Number.NaN, 2, Number.NaN, 4])).toEqual({ count: 2, mean: 3, m2: 2 });
    expect(momentsOf([Number.NaN])).toEqual(NO_MOMENTS);
    expect(varianceOf(momentsOf([3]))).toBeNaN();
  });
});

describe('quantile sketch', () => {
  // Second source, 5: α = 0.01; printed from a γ rounded to ten digits.
  it.each([
    [1, 0, 0.99],
    [100, 231, 100.4945676787],
    [42, 187, 41.6822066328],
    [0.5, -34, 0.5015394534],
  ])('keeps %d in bucket %i and returns %d', (value, bucket, representative) => {
    const sketch = sketchOf([value]);
    expect([...sketch.positive]).toEqual([[bucket, 1]]);
    expect(sketchQuantile(sketch, 0.5)).toBeCloseTo(representative, 7);
  });

  it('returns a value within its relative error of the one of that rank', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: -1e5, max: 1e5, noNaN: true }), { minLength: 1, maxLength: 200 }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.constantFrom(0.005, 0.01, 0.05),
        (values, q, relativeError) => {
          const exact = Float64Array.from(values).sort()[Math.floor(q * (values.length - 1))];
          const found = sketchQuantile(sketchOf(values, { relativeError }), q);
          expect(Math.abs(found - exact)).toBeLessThanOrEqual(relativeError * Math.abs(exact) * (1 + 1e-9) + 1e-9);
        },
      ),
    );
  });

  it('merges in any order to exactly the sketch of the whole, and gives parts back exactly', () => {
    fc.assert(
      fc.property(measurements, measurements, measurements, (a, b, c) => {
        const [x, y, z] = [a, b, c].map((values) => sketchOf(values));
        const whole = encodeSketch(sketchOf([...a, ...b, ...c]));
        expect(encodeSketch(mergeSketches(x, mergeSketches(y, z)))).toEqual(whole);
        expect(encodeSketch(mergeSketches(mergeSketches(z, x), y))).toEqual(whole);
        expect(encodeSketch(subtractSketch(mergeSketches(x, y), y))).toEqual(encodeSketch(x));
      }),
    );
  });

  it('is the same after being stored', () => {
    fc.assert(
      fc.property(measurements, (values) => {
        const sketch = sketchOf(values);
        const read = decodeSketch(encodeSketch(sketch));
        expect(encodeSketch(read)).toEqual(encodeSketch(sketch));
        expect(sketchQuantile(read, 0.9)).toEqual(sketchQuantile(sketch, 0.9));
      }),
    );
  });

  it('says NaN of nothing and refuses what it cannot hold', () => {
    expect(sketchQuantile(sketchOf([]), 0.5)).toBeNaN();
    expect(sketchCount(sketchOf([Number.NaN, 0, 1e-12, -3, 3]))).toBe(4);
    expect(() => sketchOf([Number.POSITIVE_INFINITY])).toThrow(RangeError);
    expect(() => sketchOf([1], { relativeError: 1 })).toThrow(RangeError);
    expect(() => sketchQuantile(sketchOf([1]), 1.5)).toThrow(RangeError);
    expect(() => mergeSketches(sketchOf([1]), sketchOf([1], { relativeError: 0.02 }))).toThrow(RangeError);
  });
});
