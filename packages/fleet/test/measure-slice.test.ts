import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  addMeasures,
  cellKey,
  coveragePart,
  decodeMeasures,
  distributionOf,
  EMPTY_MEASURES,
  encodeMeasures,
  type MeasuredShift,
  measuresOf,
  SLICE_MEASURES,
  sketchQuantile,
  subtractMeasures,
} from '../src/index.ts';

const value = fc.option(fc.double({ min: 0, max: 5000, noNaN: true }), { nil: null });
const measured = fc
  .array(value, { minLength: SLICE_MEASURES.length, maxLength: SLICE_MEASURES.length })
  .map((values) => Object.fromEntries(SLICE_MEASURES.map(({ id }, i) => [id, values[i]])) as MeasuredShift);
const key = fc
  .record({
    fromGear: fc.integer({ min: 1, max: 8 }),
    toGear: fc.integer({ min: 1, max: 8 }),
    loadBand: fc.integer({ min: -1, max: 5 }),
    temperatureBand: fc.integer({ min: -1, max: 4 }),
    program: fc.integer({ min: 0, max: 3 }),
    speedBand: fc.integer({ min: -1, max: 5 }),
  })
  .map(cellKey);
const drive = fc.array(fc.record({ key, measured }), { maxLength: 30 });

describe('a slice of measures', () => {
  it('is the sum of its drives, and as it was once one is taken out again', () => {
    fc.assert(
      fc.property(drive, drive, (a, b) => {
        const whole = measuresOf([...a, ...b]);
        expect(addMeasures(measuresOf(a), measuresOf(b))).toEqual(whole);
        expect(subtractMeasures(whole, measuresOf(b))).toEqual(measuresOf(a));
      }),
    );
    expect(addMeasures(EMPTY_MEASURES, EMPTY_MEASURES)).toEqual(EMPTY_MEASURES);
  });

  it('comes back from its bytes', () => {
    fc.assert(
      fc.property(drive, (shifts) => {
        expect(decodeMeasures(encodeMeasures(measuresOf(shifts)))).toEqual(measuresOf(shifts));
      }),
    );
    expect(() => decodeMeasures(new Uint8Array(9))).toThrow('9 bytes are no slice of measures');
  });

  it('gives mean, variance and quantiles of the values', () => {
    fc.assert(
      fc.property(fc.array(fc.record({ key, measured }), { minLength: 2, maxLength: 60 }), (shifts) => {
        const values = shifts
          .flatMap(({ measured: { shiftTimeS } }) => (shiftTimeS === null ? [] : [shiftTimeS]))
          .sort((a, b) => a - b);
        const { count, mean, variance, sketch } = distributionOf([measuresOf(shifts)], { measure: 'shiftTimeS' });
        expect(count).toBe(values.length);
        if (count < 2) return;
        const trueMean = values.reduce((sum, x) => sum + x, 0) / count;
        expect(Math.abs(mean - trueMean)).toBeLessThanOrEqual(0.000_05 + 1e-9 * trueMean);
        const trueVariance = values.reduce((sum, x) => sum + (x - trueMean) ** 2, 0) / (count - 1);
        // Rounding to steps moves each value by half a step at most.
        expect(Math.abs(variance - trueVariance)).toBeLessThanOrEqual(
          1e-3 * Math.sqrt(trueVariance) + 1e-7 * trueVariance + 1e-5,
        );
        for (const q of [0, 0.25, 0.5, 0.9, 1]) {
          const truth = values[Math.floor(q * (count - 1))] ?? 0;
          expect(Math.abs(sketchQuantile(sketch, q) - truth)).toBeLessThanOrEqual(0.0101 * truth + 1e-9);
        }
      }),
    );
  });

  it('is asked by place', () => {
    const at = { fromGear: 3, toGear: 4, loadBand: 2, temperatureBand: 3, program: 1, speedBand: 0 };
    const none = Object.fromEntries(SLICE_MEASURES.map(({ id }) => [id, null])) as MeasuredShift;
    const slice = measuresOf([
      { key: cellKey(at), measured: { ...none, flareRpm: 80 } },
      { key: cellKey({ ...at, loadBand: 3 }), measured: { ...none, flareRpm: 20 } },
    ]);
    const asked = coveragePart(cellKey(at));
    const here = distributionOf([slice, slice], {
      measure: 'flareRpm',
      accept: (place) => place === asked,
    });
    expect([here.count, here.mean]).toEqual([2, 80]);
    expect(distributionOf([slice], { measure: 'peakJerk' }).count).toBe(0);
  });
});
