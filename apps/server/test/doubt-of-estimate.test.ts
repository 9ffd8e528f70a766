import { describe, expect, it } from 'vitest';
import { doubtOf } from '../src/workers/proposals/doubt-of-estimate.js';

const estimateOf = (cars: number, commonTrimLn: number, vehicleSd: number) => ({
  trims: Array.from({ length: cars }, (_, i) => ({
    vehicleId: `v${i}`,
    trimLn: 0.01 * (i % 3) - 0.01,
    sdLn: 0.01,
    surprise: 0,
    byKind: [],
  })),
  commonTrimLn,
  components: { residualSd: 0.08, vehicleSd, vehicleShiftSd: 0.02, roughnessSd: { base: 0.03, multiplier: 0.03 } },
});

describe('an estimate', () => {
  it('holds together where the trims of the cars averaged about 0', () => {
    expect(doubtOf(estimateOf(5, 0.02, 0.05))).toBeNull();
    expect(doubtOf(estimateOf(1, 0.09, 0.05))).toBeNull();
  });

  it('does not where all cars make up for a map that it has moved', () => {
    expect(doubtOf(estimateOf(24, 0.92, 0.93))).toMatch(/lets all 24 cars make up for it \(trims of 92 % on average/);
  });
});
