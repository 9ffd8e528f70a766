import { describe, expect, it } from 'vitest';
import { doubtOf } from '../src/workers/proposals/doubt-of-estimate.js';

const estimateOf = (trims: readonly number[], vehicleSd: number) => ({
  trims: trims.map((trimLn, i) => ({ vehicleId: `v${i}`, trimLn, sdLn: 0.01, surprise: 0, byKind: [] })),
  components: { residualSd: 0.08, vehicleSd, vehicleShiftSd: 0.02, roughnessSd: { base: 0.03, multiplier: 0.03 } },
});

describe('an estimate', () => {
  it('holds together where the trims of the cars average about 0', () => {
    expect(doubtOf(estimateOf([0.06, -0.04, 0.02, -0.05, 0.01], 0.05))).toBeNull();
    expect(doubtOf(estimateOf([0.09], 0.05))).toBeNull();
  });

  it('does not where all cars make up for a map that it has moved', () => {
    const trims = Array.from({ length: 24 }, (_, i) => 0.9 + 0.002 * i);
    expect(doubtOf(estimateOf(trims, 0.93))).toMatch(/lets all 24 cars make up for it \(trims of 92 % on average/);
  });
});
