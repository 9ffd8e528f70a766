import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { butterworth, median, robustDeviation, type Section, SectionFilter } from '../src/index.js';
import { JudderMeter } from '../src/judder.js';
import { RunningNoise } from '../src/robust.js';
import { gaussian } from './drive-builder.js';
import { referencePath } from './reference.js';

/** Numerator and denominator of sections in series. */
function polynomials(sections: readonly Section[]): { b: number[]; a: number[] } {
  const times = (p: number[], q: number[]): number[] => {
    const product = Array.from({ length: p.length + q.length - 1 }, () => 0);
    for (let i = 0; i < p.length; i++)
      for (let j = 0; j < q.length; j++)
        product[i + j] = (product[i + j] as number) + (p[i] as number) * (q[j] as number);
    return product;
  };
  return {
    b: sections.reduce((b, s) => times(b, [s.b0, s.b1, s.b2]), [1]),
    a: sections.reduce((a, s) => times(a, [1, s.a1, s.a2]), [1]),
  };
}

describe('the Butterworth filter', () => {
  // scipy 1.10.1 (bilinear transform with pre-warping): order, cut-off, sample rate, b, a.
  it.each([
    [2, 10, 100, [0.067455273889072, 0.134910547778144, 0.067455273889072], [1, -1.142980502539901, 0.412801598096189]],
    [2, 5, 100, [0.020083365564211, 0.040166731128422, 0.020083365564211], [1, -1.561018075800718, 0.641351538057563]],
    [2, 8, 50, [0.145323883877042, 0.290647767754085, 0.145323883877042], [1, -0.671029090774097, 0.252324626282266]],
    [2, 25, 100, [0.292893218813453, 0.585786437626905, 0.292893218813453], [1, 0, 0.17157287525381]],
    [
      4,
      10,
      100,
      [1, 4, 6, 4, 1].map((c) => c * 0.004824343357716),
      [1, -2.369513007182038, 2.31398841441588, -1.054665405878568, 0.187379492368185],
    ],
  ] as const)(
    'of order %i at %i Hz sampled at %i Hz has the published coefficients',
    (order, cutOffHz, sampleRateHz, b, a) => {
      const found = polynomials(butterworth({ kind: 'low', order, cutOffHz, sampleRateHz }));
      b.forEach((value, i) => expect(found.b[i]).toBeCloseTo(value, 12));
      a.forEach((value, i) => expect(found.a[i]).toBeCloseTo(value, 12));
    },
  );

  it('agrees with the low- and high-pass fixtures of even order', () => {
    const { butter } = JSON.parse(readFileSync(referencePath('filters.json'), 'utf8'));
    for (const { order, fc, fs, type, b, a } of butter) {
      if (order !== 2 && order !== 4) continue;
      const found = polynomials(butterworth({ kind: type, order, cutOffHz: fc, sampleRateHz: fs }));
      b.forEach((value: number, i: number) => expect(found.b[i]).toBeCloseTo(value, 12));
      a.forEach((value: number, i: number) => expect(found.a[i]).toBeCloseTo(value, 12));
    }
  });

  it('passes 1/√2 at its cut-off, high and low', () => {
    for (const kind of ['high', 'low'] as const) {
      const filter = new SectionFilter(butterworth({ kind, order: 4, cutOffHz: 5, sampleRateHz: 100 }));
      let sumSquares = 0;
      for (let i = 0; i < 4000; i++) {
        const y = filter.next(Math.sin(2 * Math.PI * 5 * (i / 100)));
        if (i >= 2000) sumSquares += y * y;
      }
      expect(Math.sqrt(sumSquares / 2000)).toBeCloseTo(Math.SQRT1_2 * Math.SQRT1_2, 3);
    }
  });
});

describe('robust figures', () => {
  it('have the published median and deviation of the determinations of copper in flour', () => {
    // Venables and Ripley, Modern Applied Statistics with S, data set chem: median 3.385, MAD 0.526323.
    const { chem } = JSON.parse(readFileSync(referencePath('robust.json'), 'utf8'));
    expect(median(chem)).toBeCloseTo(3.385, 9);
    expect(robustDeviation(chem)).toBeCloseTo(0.526323, 5);
  });

  it('are those of the sorted list, whatever its order, its length and the calls before', () => {
    const ofSorted = (values: readonly number[]): number => {
      const sorted = values.toSorted((a, b) => a - b);
      const half = sorted.length >> 1;
      return sorted.length % 2 === 1 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2;
    };
    const value = fc.oneof(fc.integer({ min: -3, max: 3 }), fc.double({ noNaN: true, min: -1e9, max: 1e9 }));
    const lists = fc.array(value, { minLength: 1, maxLength: 300 });
    // Lists that grow past any room that was kept from before.
    fc.assert(
      fc.property(lists, fc.integer({ min: 1, max: 40 }), (list, times) => {
        const long = Array.from({ length: times }, () => list).flat();
        const centre = ofSorted(long);
        expect(median(long)).toBe(centre);
        const deviation = ofSorted(long.map((each) => Math.abs(each - centre)));
        expect(robustDeviation(long)).toBeCloseTo(1.4826022185056018 * deviation, 9);
      }),
    );
  });

  it('leave missing values out and tell nothing of nothing', () => {
    expect(median([Number.NaN, 4, 2, Number.NaN])).toBe(3);
    expect(median([])).toBeNaN();
  });

  it('run along and are not moved by a tenth of wild values', () => {
    const running = new RunningNoise();
    const random = gaussian(3);
    for (let i = 0; i < 5000; i++) running.add(i % 10 === 0 ? 500 : 8 * random());
    expect(running.noise).toBeGreaterThan(6.5);
    expect(running.noise).toBeLessThan(11);
  });
});

describe('the judder meter', () => {
  const rmsOf = (rateHz: number, slip: (t: number) => number, jitter = 0): number | null => {
    const meter = new JudderMeter(1 / rateHz);
    const random = gaussian(5);
    let t = 0;
    while (t < 10) {
      meter.add({ clockS: t, slipRpm: slip(t) });
      t += (1 + jitter * Math.tanh(random())) / rateHz;
    }
    return meter.rms();
  };

  // A sine of amplitude 30 rpm has 21.2 rpm r.m.s.; outside the band next to nothing passes.
  it.each([
    [100, 9, 21.2, 0.6],
    [50, 9, 21.2, 0.6],
    [200, 11, 21.2, 0.9],
    [100, 1, 0, 0.2],
    [100, 40, 0, 1],
  ])('at %i Hz reads a sine of %i Hz as %f rpm', (rateHz, frequencyHz, expected, within) => {
    const rms = rmsOf(rateHz, (t) => 20 + 30 * Math.sin(2 * Math.PI * frequencyHz * t)) as number;
    expect(Math.abs(rms - expected)).toBeLessThan(within);
  });

  it('bears irregular sampling', () => {
    const rms = rmsOf(100, (t) => 30 * Math.sin(2 * Math.PI * 9 * t), 0.4) as number;
    expect(Math.abs(rms - 21.2)).toBeLessThan(1.2);
  });

  it('tells nothing below 40 Hz', () => {
    expect(rmsOf(20, () => 10)).toBeNull();
  });
});
