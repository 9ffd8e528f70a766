import { describe, expect, it } from 'vitest';
import { analyseDrive, DEFAULT_POLICY, gradeShift, type Shift } from '../src/index.js';
import { buildDrive, CAR, PLATFORM, type PlannedDrive, type PlannedShift } from './drive-builder.js';

function findOne(shift: PlannedShift, overrides: Partial<PlannedDrive> = {}): Shift {
  const planned = {
    durationS: 12,
    rateHz: 100,
    startGear: shift.from,
    shifts: [shift],
    outputRpm: () => 1300,
    ...overrides,
  };
  const { shifts } = analyseDrive([buildDrive(planned)], { platform: PLATFORM, car: CAR });
  expect(shifts).toHaveLength(1);
  return shifts[0] as Shift;
}

describe('a flare', () => {
  it.each([
    [3, 4, 120],
    [3, 4, 300],
    [4, 5, 80],
    [4, 3, 150],
  ])('in a shift %i-%i of %i rpm is one shift whose flare has that height', (from, to, flareRpm) => {
    const shift = findOne({ commandS: 5, from, to, flareRpm });
    expect(shift.measures.flareRpm).toBeGreaterThan(flareRpm - 6);
    expect(shift.measures.flareRpm).toBeLessThan(flareRpm + 6);
    expect(gradeShift(shift, DEFAULT_POLICY, null)).toContain('flare');
  });

  it('has the duration and area of its closed form', () => {
    // h·sin²(πt/T) is above tol for T·(1 − 2·asin(√(tol/h))/π), and its area above the line there follows by integration.
    const h = 200;
    const T = 0.4;
    const tol = 0.015 * 1.52 * 1300;
    const edge = Math.asin(Math.sqrt(tol / h)) / Math.PI;
    const { measures } = findOne({ commandS: 5, from: 3, to: 4, delayS: 0.6, flareRpm: h, flareS: T });
    expect(measures.flareMs).toBeGreaterThan(1000 * T * (1 - 2 * edge) - 12);
    expect(measures.flareMs).toBeLessThan(1000 * T * (1 - 2 * edge) + 12);
    const area = (h * T * (0.5 * (1 - 2 * edge) + Math.sin(2 * Math.PI * edge) / (2 * Math.PI))) / 60;
    expect(measures.flareRevolutions / area).toBeGreaterThan(0.96);
    expect(measures.flareRevolutions / area).toBeLessThan(1.04);
  });

  it('below tolerance is no flare', () => {
    expect(findOne({ commandS: 5, from: 3, to: 4, flareRpm: 20 })).toMatchObject({
      flareStartS: null,
      measures: { flareRpm: 0, flareMs: 0, flareRevolutions: 0 },
    });
  });

  it('is not made by noise: its height is unbiased and within 12 rpm in 95 % of noisy shifts', () => {
    const errors: number[] = [];
    for (let seed = 1; seed <= 60; seed++) {
      const flareRpm = 60 + 4 * seed;
      const shift = findOne(
        { commandS: 5, from: 3, to: 4, delayS: 0.5, flareRpm, flareS: 0.35 },
        { seed, noiseRpm: { input: 7, output: 3 } },
      );
      errors.push(shift.measures.flareRpm - flareRpm);
    }
    const mean = errors.reduce((sum, error) => sum + error, 0) / errors.length;
    expect(Math.abs(mean)).toBeLessThan(3);
    expect(errors.filter((error) => Math.abs(error) <= 12).length / errors.length).toBeGreaterThanOrEqual(0.95);
  });

  it('is not seen in noisy shifts without one', () => {
    for (let seed = 1; seed <= 40; seed++) {
      const shift = findOne({ commandS: 5, from: 3, to: 4 }, { seed, noiseRpm: { input: 7, output: 3 } });
      expect(shift.measures.flareRpm).toBe(0);
    }
  });

  it('that falls back slowly through the old line is still one shift, with and without a logged target', () => {
    const shift = { commandS: 5, from: 3, to: 4, delayS: 1.2, flareRpm: 250, flareS: 0.9 };
    expect(findOne(shift).measures.flareRpm).toBeGreaterThan(240);
    const untargeted = findOne(shift, { signals: { gearTarget: () => Number.NaN } });
    expect(untargeted.measures.flareRpm).toBeGreaterThan(240);
    expect(untargeted.commandS).toBeLessThan(5.5);
  });
});
