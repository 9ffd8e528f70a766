import type { SignalBatch } from '@syncline/drivelog';
import { describe, expect, it } from 'vitest';
import { analyseDrive } from '../src/index.js';
import { buildDrive, CAR, PLATFORM, uniform } from './drive-builder.js';

const SHIFTS = [
  { commandS: 5, from: 3, to: 4 },
  { commandS: 12, from: 4, to: 5 },
] as const;

function analyse(logged: (timeS: number, index: number) => number): ReturnType<typeof analyseDrive> {
  const batch: SignalBatch = buildDrive({
    durationS: 20,
    rateHz: 100,
    startGear: 3,
    shifts: SHIFTS,
    noiseRpm: { input: 6, output: 3 },
  });
  return analyseDrive([{ ...batch, timeS: batch.timeS.map(logged) }], { platform: PLATFORM, car: CAR });
}

/** Paths of numbers that are not finite. */
function notFinite(value: unknown, path = ''): string[] {
  if (typeof value === 'number') return Number.isFinite(value) ? [] : [path];
  if (typeof value !== 'object' || value === null) return [];
  return Object.entries(value).flatMap(([key, inner]) => notFinite(inner, `${path}.${key}`));
}

describe('oddities of real logs', () => {
  it('thousands of equal time stamps are counted and leave the shifts found', () => {
    const { shifts, findings } = analyse((t) => Math.floor(t * 50 + 1e-6) / 50);
    expect(findings).toMatchObject({ repeatedTimes: 1000, stepsBack: 0, sampleCount: 2000 });
    expect(findings.medianIntervalS).toBeCloseTo(0.02, 9);
    expect(shifts.map((shift) => shift.kind)).toEqual(['3-4', '4-5']);
    expect(shifts.every((shift) => shift.disturbances.includes('repeatedTime'))).toBe(true);
  });

  it('a whole recording under one time stamp gives no shift and no figure', () => {
    const { shifts, findings } = analyse(() => 3);
    expect(shifts).toEqual([]);
    expect(findings).toMatchObject({ repeatedTimes: 1999, durationS: 0, medianIntervalS: Number.NaN });
  });

  it('a step back by 0.8 s between shifts changes nothing but the times after it', () => {
    const { shifts, findings } = analyse((t) => (t < 9 ? t : t - 0.8));
    expect(findings).toMatchObject({ stepsBack: 1, gaps: 0 });
    expect(shifts.map((shift) => [shift.kind, shift.outcome, shift.disturbances])).toEqual([
      ['3-4', 'complete', []],
      ['4-5', 'complete', []],
    ]);
    expect(shifts[1]?.commandS).toBeCloseTo(11.2, 6);
  });

  it('a step back within a shift is named with it', () => {
    const { shifts } = analyse((t) => (t < 5.6 ? t : t - 0.3));
    expect(shifts[0]?.kind).toBe('3-4');
    expect(shifts[0]?.disturbances).toContain('clockStep');
  });

  it('rows out of order now and then do not invent or lose shifts', () => {
    const { shifts, findings } = analyse((t, i) => (i % 200 === 199 ? t - 0.4 : t));
    expect(findings.stepsBack).toBe(10);
    expect(shifts.map((shift) => shift.kind)).toEqual(['3-4', '4-5']);
  });

  it('a time that starts anew begins another recording', () => {
    const { shifts, findings } = analyse((t) => (t < 9 ? t + 1000 : t - 9));
    expect(findings.stepsBack).toBe(1);
    expect(shifts.map((shift) => shift.kind)).toEqual(['3-4', '4-5']);
    expect(shifts[1]?.commandS).toBeCloseTo(3, 6);
  });

  it('a missing time is no progress', () => {
    const { shifts, findings } = analyse((t, i) => (i % 50 === 7 ? Number.NaN : t));
    expect(findings.repeatedTimes).toBe(40);
    expect(shifts.map((shift) => shift.kind)).toEqual(['3-4', '4-5']);
  });

  it('a gap of hours is one gap and does not count as driving', () => {
    const { findings } = analyse((t) => (t < 9 ? t : t + 10_000));
    expect(findings.gaps).toBe(1);
    expect(findings.durationS).toBeCloseTo(19.98, 6);
  });

  it('a log of a few samples, or none, has findings and no events', () => {
    expect(analyseDrive([], { platform: PLATFORM, car: CAR })).toMatchObject({
      shifts: [],
      lockUps: [],
      findings: { sampleCount: 0, durationS: 0, medianIntervalS: Number.NaN },
    });
    const batch = { startIndex: 0, timeS: Float64Array.of(1, 2), signals: {} };
    const { findings } = analyseDrive([batch], { platform: PLATFORM, car: CAR });
    expect(findings.missingSignals).toContain('inputSpeed');
    expect(findings.unreadableRatioS).toBe(1);
  });

  it('a log slower than asked for gives no shifts and says so', () => {
    const batch = buildDrive({ durationS: 20, rateHz: 5, startGear: 3, shifts: [{ ...SHIFTS[0], changeS: 1 }] });
    const setup = { platform: PLATFORM, car: CAR };
    const refused = analyseDrive([batch], setup);
    expect(refused).toMatchObject({ shifts: [], findings: { tooSlowForTiming: true } });
    const bold = analyseDrive([batch], { ...setup, options: { minSampleRateHz: 4 } });
    expect(bold.findings.tooSlowForTiming).toBe(false);
    expect(bold.shifts).toMatchObject([{ kind: '3-4', disturbances: ['slowSampling'] }]);
  });

  it('whatever is missing, every figure is finite or null and every shift known by its gears', () => {
    const shifts = [...SHIFTS, { commandS: 15.4, from: 5, to: 3 }, { commandS: 18.2, from: 3, to: 2, flareRpm: 120 }];
    const plan = { durationS: 21, rateHz: 50, startGear: 3, shifts, noiseRpm: { input: 8, output: 4 } };
    for (let seed = 1; seed <= 40; seed++) {
      const random = uniform(seed);
      const whole = buildDrive({ ...plan, seed });
      const holes = Array.from({ length: 8 }, () => [21 * random(), 0.6 * random() ** 2] as const);
      const kept = whole.timeS.map((t) => (holes.some(([from, length]) => t > from && t < from + length) ? 0 : 1));
      const thin = <T extends Float64Array>(values: T): Float64Array =>
        values.map((value) => (random() < 0.03 ? Number.NaN : value)).filter((_, i) => kept[i] === 1);
      const signals = Object.fromEntries(Object.entries(whole.signals).map(([id, values]) => [id, thin(values)]));
      const timeS = whole.timeS.filter((_, i) => kept[i] === 1);
      const found = analyseDrive([{ startIndex: 0, timeS, signals }], { platform: PLATFORM, car: CAR });
      const planned = shifts.map(({ from, to }) => `${from}-${to}`);
      expect(found.shifts.every((shift) => planned.includes(shift.kind))).toBe(true);
      expect(found.shifts.length).toBeGreaterThanOrEqual(3);
      expect(notFinite(found.shifts)).toEqual([]);
    }
  });

  it('signals without a value count as missing', () => {
    const batch = buildDrive({
      durationS: 2,
      rateHz: 100,
      startGear: 3,
      shifts: [],
      signals: { fluidTemperature: () => Number.NaN },
    });
    const { missingSignals } = analyseDrive([batch], { platform: PLATFORM, car: CAR }).findings;
    expect(missingSignals).toContain('fluidTemperature');
    expect(missingSignals).toContain('converterDuty');
    expect(missingSignals).not.toContain('load');
  });
});
