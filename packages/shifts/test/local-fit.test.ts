import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fitLocalQuadratic, type LocalFit, savitzkyGolayWeights } from '../src/index.js';
import { referencePath } from './reference.js';

/**
 * Savitzky and Golay, Anal. Chem. 36 (1964) 1627, corrected by Steinier, Termonia and Deltour, Anal. Chem. 44 (1972)
 * 1906: points, order, derivative, integers (oldest first), divisor.
 */
const PUBLISHED: [number, number, number, number[], number][] = [
  [5, 2, 0, [-3, 12, 17, 12, -3], 35],
  [5, 3, 0, [-3, 12, 17, 12, -3], 35],
  [7, 2, 0, [-2, 3, 6, 7, 6, 3, -2], 21],
  [9, 2, 0, [-21, 14, 39, 54, 59, 54, 39, 14, -21], 231],
  [11, 2, 0, [-36, 9, 44, 69, 84, 89, 84, 69, 44, 9, -36], 429],
  [7, 4, 0, [5, -30, 75, 131, 75, -30, 5], 231],
  [9, 4, 0, [15, -55, 30, 135, 179, 135, 30, -55, 15], 429],
  [5, 2, 1, [-2, -1, 0, 1, 2], 10],
  [7, 2, 1, [-3, -2, -1, 0, 1, 2, 3], 28],
  [9, 2, 1, [-4, -3, -2, -1, 0, 1, 2, 3, 4], 60],
  [5, 3, 1, [1, -8, 0, 8, -1], 12],
  [7, 4, 1, [22, -67, -58, 0, 58, 67, -22], 252],
  [5, 2, 2, [2, -1, -2, -1, 2], 7],
  [7, 2, 2, [5, 0, -3, -4, -3, 0, 5], 42],
  [9, 3, 2, [28, 7, -8, -17, -20, -17, -8, 7, 28], 462],
];

const emptyFit = (): LocalFit => ({ value: 0, slope: 0, curvature: 0, count: 0 });

describe('Savitzky–Golay weights', () => {
  it.each(PUBLISHED)(
    'for %i points, order %i, derivative %i are the published integers',
    (points, order, derivative, integers, divisor) => {
      const weights = savitzkyGolayWeights({ points, order, derivative });
      weights.forEach((weight, i) => expect(weight * divisor).toBeCloseTo(integers[i] as number, 10));
    },
  );

  it('agree with the fixtures made by scipy 1.10.1', () => {
    const { savgol_coeffs: rows } = JSON.parse(readFileSync(referencePath('filters.json'), 'utf8'));
    for (const { window, polyorder, deriv, coeffs_oldest_first: expected } of rows) {
      const weights = savitzkyGolayWeights({ points: window, order: polyorder, derivative: deriv });
      weights.forEach((weight, i) => expect(weight).toBeCloseTo(expected[i], 12));
    }
  });

  it('refuse an even number of points', () => {
    expect(() => savitzkyGolayWeights({ points: 6, order: 2, derivative: 0 })).toThrow(RangeError);
  });
});

describe('the local quadratic fit', () => {
  it('equals the convolution with the published weights at regular times', () => {
    const values = Float64Array.from([3, 1, 4, 1, 5, 9, 2]);
    const timeS = Float64Array.from(values, (_, i) => 50 + i / 100);
    const fit = emptyFit();
    fitLocalQuadratic(timeS, values, { from: 0, to: 7, atS: 50.03 }, fit);
    const convolved = [0, 1, 2].map((derivative) => {
      const weights = savitzkyGolayWeights({ points: 7, order: 2, derivative });
      return weights.reduce((sum, weight, i) => sum + weight * (values[i] as number), 0) * 100 ** derivative;
    });
    expect(fit.value).toBeCloseTo(convolved[0] as number, 9);
    expect(fit.slope).toBeCloseTo(convolved[1] as number, 6);
    expect(fit.curvature).toBeCloseTo(convolved[2] as number, 4);
  });

  it('returns any parabola exactly, whatever the spacing of the samples', () => {
    const spacing = fc.array(fc.double({ min: 0.002, max: 0.06, noNaN: true }), { minLength: 3, maxLength: 20 });
    const coefficient = fc.double({ min: -1000, max: 1000, noNaN: true });
    fc.assert(
      fc.property(spacing, coefficient, coefficient, coefficient, (steps, c0, c1, c2) => {
        let t = 0;
        const timeS = Float64Array.from(steps, (step) => (t += step));
        const atS = timeS[1] as number;
        const values = timeS.map((time) => c0 + c1 * (time - atS) + c2 * (time - atS) ** 2);
        const fit = emptyFit();
        fitLocalQuadratic(timeS, values, { from: 0, to: steps.length, atS }, fit);
        expect(Math.abs(fit.value - c0)).toBeLessThan(1e-6 * (1 + Math.abs(c0)));
        expect(Math.abs(fit.slope - c1)).toBeLessThan(1e-3);
        expect(Math.abs(fit.curvature - 2 * c2)).toBeLessThan(0.2);
      }),
    );
  });

  it.each([
    [0, Number.NaN, Number.NaN],
    [1, 7, Number.NaN],
    [2, 7, 20],
  ])('of %i samples gives what they allow', (count, value, slope) => {
    const fit = emptyFit();
    fitLocalQuadratic(Float64Array.from([1, 1.1]), Float64Array.from([7, 9]), { from: 0, to: count, atS: 1 }, fit);
    expect([fit.value, fit.slope].map((found) => Math.round(found * 1e9) / 1e9)).toEqual([value, slope]);
  });
});
