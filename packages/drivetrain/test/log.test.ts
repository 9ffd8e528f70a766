import { describe, expect, it } from 'vitest';
import { type Car, randomRoute, readTrace, STEADY_SAMPLING, simulateDrive, simulateTrace } from '../src/index.js';
import { aCar, aDrive } from './example.js';

const drive = aDrive(randomRoute('town', 150, 5));
const trace = simulateTrace(drive);
const logOf = (changes: Partial<Car['sampling']> = {}, seed = 1) =>
  readTrace(trace, { ...drive, seed, car: aCar({ sampling: { ...STEADY_SAMPLING, ...changes } }) }).log;

function intervals(timeS: Float64Array): number[] {
  return Array.from(timeS.subarray(1), (t, i) => t - timeS[i]);
}

describe('a drive log', () => {
  it.each([10, 25, 50, 100, 200])('holds %i samples a second', (rateHz) => {
    const { timeS } = logOf({ rateHz });
    expect(timeS.length / 150 / rateHz).toBeCloseTo(1, 1);
    expect(timeS.every((t, i) => i === 0 || t > timeS[i - 1])).toBe(true);
  });

  it('shows speeds with the noise of its sensors and in their steps', () => {
    const { timeS, signals } = logOf();
    const input = signals.inputSpeed ?? new Float64Array();
    const errors = Array.from(timeS, (t, i) => input[i] - trace.inputRpm[Math.round(t / trace.stepS)]).filter(
      (_, i) => input[i] > 500,
    );
    const mean = errors.reduce((sum, e) => sum + e, 0) / errors.length;
    const sd = Math.sqrt(errors.reduce((sum, e) => sum + (e - mean) ** 2, 0) / errors.length);
    expect(Math.abs(mean)).toBeLessThan(0.5);
    expect(sd).toBeGreaterThan(5.5);
    expect(sd).toBeLessThan(7);
    expect(input.every(Number.isInteger)).toBe(true);
  });

  it('has all signals as long as its time', () => {
    const { timeS, signals } = logOf({ rateHz: 20, missedShare: 0.1 });
    for (const values of Object.values(signals)) expect(values).toHaveLength(timeS.length);
    expect(timeS.length).toBeLessThan(0.95 * 150 * 20);
  });

  it('repeats times, leaves gaps and steps back where the logger does', () => {
    const repeated = intervals(logOf({ repeatedTimeShare: 0.05 }).timeS).filter((step) => step === 0);
    expect(repeated.length).toBeGreaterThan(300);
    const { timeS, gaps } = logOf({ gapsPerHour: 120, gapS: 2 });
    expect(gaps.length).toBeGreaterThan(2);
    expect(intervals(timeS).filter((step) => step > 0.9)).toHaveLength(gaps.length);
    const back = intervals(logOf({ clockStepsPerHour: 100 }).timeS).filter((step) => step < -0.05);
    expect(back.length).toBeGreaterThan(0);
    expect(Math.min(...back)).toBeGreaterThan(-0.85);
  });

  it('changes with the seed and not without', () => {
    expect(logOf().signals.inputSpeed).toEqual(logOf().signals.inputSpeed);
    expect(logOf({}, 2).signals.inputSpeed).not.toEqual(logOf().signals.inputSpeed);
  });

  it('calls shifts cut that a gap runs through, and no others', () => {
    const sampling = { ...STEADY_SAMPLING, gapsPerHour: 400, gapS: 1 };
    const { log, truth } = readTrace(trace, { ...drive, car: aCar({ sampling }) });
    const whole = readTrace(trace, drive).truth;
    const isCovered = (i: number) =>
      log.gaps.some(({ startS, endS }) => startS < (whole[i].syncS ?? 0) && endS > whole[i].commandS);
    expect(truth.some(({ outcome }) => outcome === 'cut')).toBe(true);
    truth.forEach(({ outcome }, i) => expect(outcome === 'cut').toBe(isCovered(i)));
  });
});

it('holds the shift valve for as long after the shift as the car does', () => {
  const heldS = (valveHoldS: number) => {
    const { slow, shifts } = simulateTrace({ ...drive, car: aCar({ valveHoldS }) });
    const end = Math.round((shifts[0].endS ?? 0) / 0.01);
    return (slow.valveOn.indexOf(0, end + 1) - end) * 0.01;
  };
  expect(heldS(0.25)).toBeCloseTo(0.25, 1);
  expect(heldS(0.6)).toBeCloseTo(0.6, 1);
});

it('keeps the truth out of the log', () => {
  const { log } = simulateDrive(drive);
  expect(Object.keys(log).sort()).toEqual(['gaps', 'signals', 'timeS']);
});
