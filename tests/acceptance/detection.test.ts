import { describe, expect, it } from 'vitest';
import { measureDetection } from '../report/measure-detection.ts';

/**
 * Detection against the truth of the simulator, which knows what really happened. The bounds are those promised to
 * users; `tests/report/detection.md` shows how far inside them the figures are.
 */
describe('detection at 100 Hz, over 2,000 shifts of 24 cars', () => {
  const report = measureDetection({ rateHz: 100, driveCount: 72 });

  it('is measured on enough shifts and flares', () => {
    expect(report.cars).toBe(24);
    expect(report.trueShifts).toBeGreaterThanOrEqual(2000);
    expect(report.flareRpm.count).toBeGreaterThanOrEqual(50);
  });

  it('finds 99.5 % of the shifts and invents fewer than 0.5 %', () => {
    expect(report.recall).toBeGreaterThanOrEqual(0.995);
    expect(report.precision).toBeGreaterThanOrEqual(0.995);
  });

  it('times the start of the inertia phase and the synchronisation within 15 ms in the median', () => {
    expect(report.inertiaStartMs.medianAbsolute).toBeLessThanOrEqual(15);
    expect(report.syncMs.medianAbsolute).toBeLessThanOrEqual(15);
  });

  it('measures 95 % of the flares within ±12 rpm', () => {
    expect(report.flareRpm.within12Rpm).toBeGreaterThanOrEqual(0.95);
  });

  it('calls at least 90 % of true flares a flare and at most 2 % of clean shifts one', () => {
    const total = (row: Record<string, number>) => Object.values(row).reduce((sum, count) => sum + count, 0);
    const { flare, clean } = report.confusion;
    expect(flare.flare / total(flare)).toBeGreaterThanOrEqual(0.9);
    expect(clean.flare / total(clean)).toBeLessThanOrEqual(0.02);
  });

  it('finds every lock-up episode and invents none', () => {
    expect(report.lockUps.matched / report.lockUps.truth).toBeGreaterThanOrEqual(0.98);
    expect(report.lockUps.found).toBeLessThanOrEqual(1.02 * report.lockUps.truth);
  });
});

it('finds 98 % of the shifts at 20 Hz', () => {
  const report = measureDetection({ rateHz: 20, driveCount: 24 });
  expect(report.trueShifts).toBeGreaterThanOrEqual(600);
  expect(report.recall).toBeGreaterThanOrEqual(0.98);
});
