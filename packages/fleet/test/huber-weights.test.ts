import { describe, expect, it } from 'vitest';
import { responsePredictor, robustCorrections, withHuberWeights } from '../src/estimate/huber-weights.js';
import { type ShiftMoments, type ShiftObservation, shiftMomentsOf } from '../src/estimate/shift-moments.js';
import { Draws } from './random.js';
import { aShift, estimated, smallDesign } from './small-fleet.js';

describe('Huber weights', () => {
  const design = smallDesign([{ id: 'base', axes: [[0, 1, 2]], values: { '1-2': [1, 1, 1] } }]);
  const draws = new Draws(3);
  const observations = new Map<string, ShiftObservation[]>(
    Array.from({ length: 8 }, (_, j) => [
      `car ${j}`,
      Array.from({ length: 60 }, (_o, n) => {
        const node = n % 3;
        const y = 0.1 * node + 0.05 * draws.normal() + (n % 10 === 0 ? 0.6 : 0);
        return aShift({ y, row: { nodes: [node], shares: [1], gain: 1 } });
      }),
    ]),
  );

  const robust = robustCorrections(design, observations);
  if (!robust) throw new Error('expected an estimate');
  const { pilot } = robust;

  it('keep a tenth of the shifts that are all wrong in one direction from pulling the corrections along', () => {
    const plain = estimated(design, new Map([...observations].map(([id, own]) => [id, shiftMomentsOf(own)])));
    expect(plain.correctionLn[1]).toBeCloseTo(0.1 + 0.06, 1);
    expect(Math.abs(pilot.estimate.correctionLn[1] - 0.1)).toBeLessThan(0.02);
    expect(pilot.scaleSd).toBeGreaterThan(0.045);
    expect(pilot.scaleSd).toBeLessThan(0.065);
  });

  it('are settled at ingestion: logs weighted by the final pilot give the corrections it came from', () => {
    const again = new Map(
      [...observations].map(([id, own]): [string, ShiftMoments] => [
        id,
        shiftMomentsOf(withHuberWeights(own, pilot, id)),
      ]),
    );
    const repeated = estimated(design, again, { start: pilot.estimate.components });
    for (const [k, correction] of pilot.estimate.correctionLn.entries()) {
      expect(Math.abs(repeated.correctionLn[k] - correction)).toBeLessThan(1e-3);
    }
  });

  it('leave a shift alone that is what the pilot expects, also of a car that the pilot does not know', () => {
    const shift = aShift({ row: { nodes: [2], shares: [1], gain: 1 } });
    const expected = { ...shift, y: responsePredictor(pilot.estimate, 'new car')(shift) };
    expect(withHuberWeights([expected], pilot, 'new car')).toEqual([expected]);
    const [far] = withHuberWeights([{ ...expected, y: expected.y + 1 }], pilot, 'new car');
    expect(far.weight).toBeCloseTo(2 * pilot.scaleSd, 6);
  });

  it('have nothing to say without shifts', () => {
    expect(robustCorrections(design, new Map())).toBeNull();
  });
});
