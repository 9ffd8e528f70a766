import { describe, expect, it } from 'vitest';
import { analyseDrive, type Shift } from '../src/index.js';
import { buildDrive, CAR, gaussian, PLATFORM, type PlannedDrive, plannedSpeeds, ratioOf } from './drive-builder.js';

/** Road speed for one rpm of the output shaft (m/s). */
const SCALE = ((Math.PI / 30) * CAR.tyreRadiusM) / CAR.finalDriveRatio;
const SHIFT = { commandS: 5, from: 3, to: 4, delayS: 0.5, changeS: 0.4 };

function findOne(overrides: Partial<PlannedDrive>): Shift {
  const drive = { durationS: 14, rateHz: 100, startGear: 3, shifts: [SHIFT], ...overrides };
  const { shifts } = analyseDrive([buildDrive(drive)], { platform: PLATFORM, car: CAR });
  expect(shifts).toHaveLength(1);
  return shifts[0] as Shift;
}

/** Output speed whose acceleration is given (m/s²), by summing up; 1 ms steps. */
function outputFrom(acceleration: (t: number) => number): (t: number) => number {
  const rpm = [1100];
  for (let i = 1; i <= 15_000; i++) rpm.push((rpm[i - 1] as number) + (acceleration(i / 1000) * 0.001) / SCALE);
  return (t) => rpm[Math.round(1000 * t)] as number;
}

describe('acceleration and jerk', () => {
  it('of a step of acceleration read as a 120 ms quadratic would', () => {
    // Its second derivative at a step Δa in the middle is 15/(16·0.06 s)·Δa (weights of Savitzky and Golay).
    const shift = findOne({ outputRpm: outputFrom((t) => (t < 5.7 ? 1 : 0)) });
    expect((shift.measures.peakJerk as number) / (15 / (16 * 0.06))).toBeGreaterThan(0.93);
    expect((shift.measures.peakJerk as number) / (15 / (16 * 0.06))).toBeLessThan(1.07);
    expect(shift.measures.peakToPeakAcceleration).toBeGreaterThan(0.97);
    expect(shift.measures.peakToPeakAcceleration).toBeLessThan(1.2);
  });

  it('stay near what is there when the output speed is noisy', () => {
    const jerks = [1, 2, 3, 4, 5, 6, 7, 8].map((seed) => {
      const noiseRpm = { input: 6, output: 3 };
      return findOne({ seed, noiseRpm, outputRpm: outputFrom((t) => (t < 5.7 ? 1 : -0.6)) }).measures
        .peakJerk as number;
    });
    const mean = jerks.reduce((sum, jerk) => sum + jerk, 0) / jerks.length;
    expect(mean / 25).toBeGreaterThan(0.85);
    expect(mean / 25).toBeLessThan(1.15);
    const still = findOne({ noiseRpm: { input: 6, output: 3 }, outputRpm: outputFrom(() => 0.8) });
    expect(still.measures.peakJerk).toBeLessThan(9);
  });

  it('are not told where noise hides them, as at 20 Hz', () => {
    const { measures } = findOne({ rateHz: 20, noiseRpm: { input: 6, output: 4 } });
    expect(measures.peakJerk).toBeNull();
  });
});

describe('tie-up', () => {
  // a_before 1.5 m/s²; the ratio step 1.14/1.52 explains a fall to 1.125.
  const withDip = (depth: number) => outputFrom((t) => (t > 5.15 && t < 5.45 ? 1.125 - depth : t < 5.1 ? 1.5 : 1.125));

  it('is the depth of the dip below what the ratio step explains', () => {
    const { measures } = findOne({ outputRpm: withDip(1.2) });
    expect(measures.tieUpDepth).toBeGreaterThan(1.05);
    expect(measures.tieUpDepth).toBeLessThan(1.35);
    expect((measures.tieUpImpulse as number) / (1.2 * 0.3)).toBeGreaterThan(0.85);
    expect((measures.tieUpImpulse as number) / (1.2 * 0.3)).toBeLessThan(1.15);
  });

  it('is nothing when the acceleration falls only as far as the ratio step explains, or the car coasts', () => {
    expect(findOne({ outputRpm: withDip(0) }).measures.tieUpDepth).toBeLessThan(0.12);
    expect(findOne({ outputRpm: outputFrom(() => -0.8) }).measures.tieUpDepth).toBeLessThan(0.05);
  });

  it('is not told of a downshift nor without a logged command', () => {
    expect(findOne({ startGear: 4, shifts: [{ ...SHIFT, from: 4, to: 3 }] }).measures.tieUpDepth).toBeNull();
    expect(findOne({ signals: { gearTarget: () => Number.NaN } }).measures.tieUpDepth).toBeNull();
  });
});

describe('the shift valve', () => {
  it.each([
    [0.3, 0.3],
    [2, 2],
    [20, 5],
  ])('held on for %f s after the ratio is reached is measured so, up to 5 s (common practice)', (heldS, expectedS) => {
    const plan = { durationS: 30, rateHz: 100, startGear: 3, shifts: [SHIFT] };
    const { input, output } = plannedSpeeds(plan);
    const isOff = (t: number): boolean => t < 5 || t > 5.87 + heldS;
    const shift = findOne({
      ...plan,
      signals: { inputSpeed: input, outputSpeed: output, valveOn: (t) => (isOff(t) ? 0 : 1) },
    });
    expect(Math.abs((shift.measures.valveOnAfterSyncS as number) - expectedS)).toBeLessThan(0.04);
  });

  it('let go before is 0, and not logged is not told', () => {
    expect(findOne({ signals: { valveOn: (t) => (t > 5 && t < 5.6 ? 1 : 0) } }).measures.valveOnAfterSyncS).toBe(0);
    expect(findOne({}).measures.valveOnAfterSyncS).toBeNull();
  });
});

describe('conditions at the command', () => {
  it('are medians of what was logged before it, unmoved by a stray value', () => {
    const random = gaussian(4);
    const load = (t: number): number => (t > 4.9 && t < 4.92 ? 100 : t < 5 ? 40 : 70) + 0.1 * random();
    const { at } = findOne({
      signals: { load, fluidTemperature: () => 63, applyPressure: (t) => (t < 5.001 ? 380 : 700) },
    });
    expect(at.load).toBeCloseTo(40, 0);
    expect(at.inputTorqueNm).toBeCloseTo(120, 0);
    expect(at).toMatchObject({ fluidTemperatureC: 63, pedal: 30, programCode: 0, applyPressureKpa: 380 });
    expect(at.inputSpeedRpm / at.outputSpeedRpm).toBeCloseTo(ratioOf(3), 2);
  });

  it('take load and torque from each other, and tell nothing of what was not logged', () => {
    const signals = { load: () => Number.NaN, inputTorque: () => 60, pedal: () => Number.NaN };
    expect(findOne({ signals }).at).toMatchObject({ load: 20, inputTorqueNm: 60, pedal: null });
    const none = { load: () => Number.NaN, fluidTemperature: () => Number.NaN };
    expect(findOne({ signals: none }).at).toMatchObject({ load: null, inputTorqueNm: null, fluidTemperatureC: null });
  });
});

describe('a disturbed shift', () => {
  it.each([
    ['pedalChange', { pedal: (t: number) => (t < 5.4 ? 30 : 55) }],
    ['brake', { brake: (t: number) => (t > 5.3 && t < 5.5 ? 1 : 0) }],
    ['lockUpMove', { converterDuty: (t: number) => (t < 5.2 ? 0 : 40) }],
  ])('names %s', (name, signals) => {
    expect(findOne({ signals }).disturbances).toEqual([name]);
  });

  it('names missing samples, and slow sampling', () => {
    const times = Array.from({ length: 1400 }, (_, i) => i / 100).filter((t) => t < 5.6 || t > 5.7);
    expect(findOne({ times }).disturbances).toEqual(['gap']);
    expect(findOne({ rateHz: 12 }).disturbances).toEqual(['slowSampling']);
  });

  it('is not one when pedal and brake moved before or after it', () => {
    const signals = { pedal: (t: number) => (t < 4 || t > 7 ? 60 : 30), brake: (t: number) => (t > 8 ? 1 : 0) };
    expect(findOne({ signals }).disturbances).toEqual([]);
  });
});
