import { describe, expect, it } from 'vitest';
import { estimateCorrections } from '../src/estimate/estimate-corrections.js';
import { shiftMomentsOf } from '../src/estimate/shift-moments.js';
import { Draws } from './random.js';
import { aShift, smallDesign } from './small-fleet.js';

const design = smallDesign([{ id: 'base', axes: [[0, 1]], values: { '1-2': [100, 100] } }]);
const COMMON = 0.06;

/**
 * Ten cars on two nodes of gain 1.2 and 2, whose responses all ask for the same, whatever the gain: no correction of the
 * map can say so at both nodes, and trims that all cars have in common can.
 */
function fleet() {
  const draws = new Draws(11);
  return new Map(
    Array.from({ length: 10 }, (_, j) => {
      const own = 0.03 * draws.normal();
      const shifts = Array.from({ length: 60 }, (_o, n) =>
        aShift({
          y: COMMON + own + 0.02 * draws.normal(),
          row: { nodes: [n % 2], shares: [1], gain: n % 2 === 0 ? 1.2 : 2 },
        }),
      );
      return [`car ${j}`, shiftMomentsOf(shifts)] as const;
    }),
  );
}

describe('what the trims of all cars have in common', () => {
  const start = { residualSd: 0.02, vehicleSd: 0.5, vehicleShiftSd: 0.5, roughnessSd: { base: 1, multiplier: 1 } };
  const prior = { ridgeSd: { base: 0.05, multiplier: 0.05 }, gaugeSd: 0.001, roughness: () => new Float64Array(4) };
  const estimate = estimateCorrections(design, fleet(), { start, prior, maxIterations: 0 });
  if (estimate.kind !== 'estimate') throw new Error('expected an estimate');

  it('would be a good part of the response if it were left to them', () => {
    expect(Math.abs(estimate.commonTrimLn)).toBeGreaterThan(0.01);
  });

  it('is in the map instead: trims average to 0, in general and by kind', () => {
    const { trims } = estimate;
    const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
    expect(mean(trims.map(({ trimLn }) => trimLn))).toBeCloseTo(0, 12);
    expect(mean(trims.map(({ byKind: [own] }) => own.trimLn))).toBeCloseTo(0, 12);
  });

  it('leaves what is expected of an average car where it was: the response over the gain, node by node', () => {
    for (const [node, gain] of [1.2, 2].entries()) {
      expect(gain * estimate.correctionLn[node]).toBeGreaterThan(0.8 * COMMON);
      expect(gain * estimate.correctionLn[node]).toBeLessThan(1.2 * COMMON);
    }
  });
});
