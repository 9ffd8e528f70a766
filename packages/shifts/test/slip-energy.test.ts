import { describe, expect, it } from 'vitest';
import { analyseDrive, clutchSlipEnergyJ } from '../src/index.js';
import { buildDrive, CAR, PLATFORM } from './drive-builder.js';

const RPM = 30 / Math.PI;

/** Two inertias I1 0.25 and I2 1.6 kg·m² at 200 and 120 rad/s, coupled by a slipping clutch until they are one. */
function engagement(clutchNm: (t: number) => number, torqueNm: number, loadNm: number) {
  const stepS = 1e-5;
  const rows: number[][] = [];
  let w1 = 200;
  let w2 = 120;
  for (let t = 0; w1 > w2; t += stepS) {
    const slope = (torqueNm - clutchNm(t)) / 0.25;
    rows.push([t, w1 * RPM, w2 * RPM, slope * RPM, torqueNm]);
    w1 += slope * stepS;
    w2 += ((clutchNm(t) - loadNm) / 1.6) * stepS;
  }
  const column = (i: number): number[] => rows.map((row) => row[i] as number);
  return {
    timeS: column(0),
    inputRpm: column(1),
    outputRpm: column(2),
    inputSlopeRpmPerS: column(3),
    inputTorqueNm: column(4),
  };
}

describe('the slip energy of an oncoming clutch', () => {
  // Shigley, Mechanical Engineering Design, "Energy considerations": E = I1·I2·(ω1 − ω2)²/(2(I1 + I2)), whatever the
  // course of the torque; the third row by its general constant-torque form.
  it.each([
    ['a constant 150 N·m', () => 150, 0, 0, 691.8918919],
    ['a ramp of 400 N·m/s', (t: number) => 400 * t, 0, 0, 691.8918919],
    ['320 N·m against a driving 180 and a load of 60 N·m', () => 320, 180, 60, 1417.3010381],
  ])('is that of the closed form, with %s', (_, clutchNm, torqueNm, loadNm, expectedJ) => {
    const phase = engagement(clutchNm, torqueNm, loadNm);
    expect(clutchSlipEnergyJ(phase, 1, 0.25) / expectedJ).toBeCloseTo(1, 4);
  });

  it('of a whole shift agrees with work it out by hand for a linear ratio change', () => {
    // n_out 1300 rpm; 3-4 in 0.5 s: slip falls from 494 rpm to 0 in a line, T_c = T_in + J·Δω/t is constant.
    const shifts = [{ commandS: 5, from: 3, to: 4, changeS: 0.5, way: (x: number) => x }];
    const drive = { durationS: 10, rateHz: 100, startGear: 3, shifts, outputRpm: () => 1300 };
    const [shift] = analyseDrive([buildDrive(drive)], { platform: PLATFORM, car: CAR }).shifts;
    const step = ((1.52 - 1.14) * 1300 * Math.PI) / 30;
    const clutchNm = 135 + (0.15 * step) / 0.5;
    // From tolerance to tolerance: 29.64 rpm below the old line and 25 rpm above the new one.
    const first = 1 - 29.64 / 494;
    const last = 25 / 494;
    const expectedJ = (clutchNm * step * 0.5 * (first * first - last * last)) / 2;
    expect((shift?.measures.slipEnergyJ as number) / expectedJ).toBeGreaterThan(0.94);
    expect((shift?.measures.slipEnergyJ as number) / expectedJ).toBeLessThan(1.03);
  });
});
