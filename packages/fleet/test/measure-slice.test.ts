import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  addMeasures,
  cellKey,
  coveragePart,
  decodeMeasures,
  distributions,
  EMPTY_MEASURES,
  encodeMeasures,
  measuresOf,
  SLICE_MEASURES,
  sketchQuantile,
  subtractMeasures,
} from '../src/index.ts';

/** Within what the finest steps can hold: 2^20 of 0.1 ms. */
const value = fc.oneof(fc.double({ min: 0, max: 100, noNaN: true }), fc.constant(Number.NaN));
const measured = fc.array(value, { minLength: SLICE_MEASURES.length, maxLength: SLICE_MEASURES.length });
const SHIFT_TIME = SLICE_MEASURES.findIndex(({ id }) => id === 'shiftTimeS');
const everywhere = () => [0];
const key = fc
  .record({
    kind: fc.integer({ min: 0, max: 255 }),
    loadBand: fc.integer({ min: -1, max: 5 }),
    temperatureBand: fc.integer({ min: -1, max: 4 }),
    program: fc.integer({ min: 0, max: 3 }),
    speedBand: fc.integer({ min: -1, max: 5 }),
  })
  .map(cellKey);
const drive = fc.array(fc.record({ key, measured }), { maxLength: 30 });

const placed = { vehicleId: 'car', revisionId: 'revision' };

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
          .map(({ measured: all }) => all[SHIFT_TIME])
          .filter((x) => !Number.isNaN(x))
          .sort((a, b) => a - b);
        const query = { measure: 'shiftTimeS', groupsOf: everywhere } as const;
        const found = distributions([{ ...placed, slice: measuresOf(shifts) }], query).get(0);
        expect(found?.count ?? 0).toBe(values.length);
        if (!found) return;
        const { count, mean, variance, sketch } = found;
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

  it('is asked by place, over cars that are each counted once', () => {
    const at = { kind: 34, loadBand: 2, temperatureBand: 3, program: 1, speedBand: 0 };
    const flare = (rpm: number) => SLICE_MEASURES.map(({ id }) => (id === 'flareRpm' ? rpm : Number.NaN));
    const slice = measuresOf([
      { key: cellKey(at), measured: flare(80) },
      { key: cellKey({ ...at, loadBand: 3 }), measured: flare(20) },
    ]);
    const asked = coveragePart(cellKey(at));
    const slices = ['a', 'a', 'b'].map((vehicleId, i) => ({ vehicleId, revisionId: `r${i}`, slice }));
    const groupsOf = (place: number) => (place === asked ? [1, 2] : [2]);
    const found = distributions(slices, { measure: 'flareRpm', groupsOf });
    expect(found.get(1)).toMatchObject({ count: 3, vehicles: 2, mean: 80 });
    expect(found.get(2)).toMatchObject({ count: 6, vehicles: 2, mean: 50 });
    expect(distributions(slices, { measure: 'peakJerk', groupsOf }).size).toBe(0);
  });

  it('takes a senseless value for the largest that sums stay exact with', () => {
    const slice = measuresOf([{ key: 0, measured: SLICE_MEASURES.map(() => Number.POSITIVE_INFINITY) }]);
    const found = distributions([{ ...placed, slice }], { measure: 'slipEnergyJ', groupsOf: everywhere }).get(0);
    expect(found?.mean).toBe(2 ** 20);
    expect(subtractMeasures(addMeasures(slice, slice), slice)).toEqual(slice);
  });
});
