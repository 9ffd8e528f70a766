import { describe, expect, it } from 'vitest';
import { analyseDrive, DEFAULT_POLICY, type LockUpEpisode, type Shift } from '../src/index.js';
import { buildDrive, CAR, gaussian, PLATFORM, type PlannedDrive, plannedSpeeds } from './drive-builder.js';

interface Plan extends Partial<PlannedDrive> {
  readonly duty: (t: number) => number;
  readonly slip: (t: number) => number;
}

function find({ duty, slip, ...overrides }: Plan): { lockUps: LockUpEpisode[]; shifts: Shift[] } {
  const planned: PlannedDrive = {
    durationS: 20,
    rateHz: 100,
    startGear: 5,
    shifts: [],
    outputRpm: () => 1800,
    noiseRpm: { input: 5, output: 2 },
    ...overrides,
  };
  const random = gaussian(9);
  const { input } = plannedSpeeds(planned);
  const signals = {
    converterDuty: duty,
    engineSpeed: (t: number) => input(t) + slip(t) + 4 * random(),
    ...overrides.signals,
  };
  return analyseDrive([buildDrive({ ...planned, signals })], { platform: PLATFORM, car: CAR });
}

/** Common practice: the duty starts at 9 % and rises until the clutch holds. */
const rampFrom = (startS: number, untilS: number): ((t: number) => number) => {
  return (t) => (t < startS || t >= untilS ? 0 : Math.min(90, 9 + 30 * (t - startS)));
};
const slipFalling = (startS: number, fromRpm: number, toRpm: number, rateRpmPerS: number) => (t: number) =>
  Math.max(toRpm, fromRpm - rateRpmPerS * Math.max(0, t - startS));

describe('a lock-up episode', () => {
  it('is one, from a ramp that starts at 9 % and rises until the clutch holds (common practice)', () => {
    const slip = (t: number): number => (t > 15 ? 500 : slipFalling(4.5, 500, 20, 400)(t));
    const { lockUps, shifts } = find({ duty: rampFrom(4, 15), slip });
    expect(shifts).toEqual([]);
    expect(lockUps).toHaveLength(1);
    expect(lockUps[0]).toMatchObject({ verdict: 'made', gear: 5, commandS: 4, releasedS: 15, shiftsInside: 0 });
    expect(lockUps[0]?.startIndex).toBe(400);
  });

  it('counts as made once slip is below 200 rpm (common practice)', () => {
    const [episode] = find({ duty: rampFrom(4, 15), slip: slipFalling(4.5, 500, 20, 400) }).lockUps;
    expect(episode?.madeS).toBeGreaterThan(5.2);
    expect(episode?.madeS).toBeLessThan(5.3);
    expect(episode?.timeToLockS).toBeCloseTo((episode?.madeS as number) - 4, 9);
  });

  it('reports a small steady slip as intended, not as a fault', () => {
    const [episode] = find({ duty: rampFrom(4, 18), slip: slipFalling(4.5, 500, 45, 400) }).lockUps;
    expect(episode).toMatchObject({ verdict: 'made', overshootRpm: 0 });
    expect(Math.abs((episode?.steadySlipRpm as number) - 45)).toBeLessThan(2);
    expect(episode?.judderRpm).toBeLessThan(8);
  });

  it('measures judder of the applied clutch', () => {
    const slip = (t: number): number =>
      slipFalling(4.5, 500, 30, 400)(t) + (t > 6.5 ? 40 * Math.sin(18 * Math.PI * t) : 0);
    const [episode] = find({ duty: rampFrom(4, 18), slip }).lockUps;
    expect(Math.abs((episode?.judderRpm as number) - 40 / Math.SQRT2)).toBeLessThan(2.5);
    expect(find({ duty: rampFrom(4, 18), slip, rateHz: 20 }).lockUps[0]?.judderRpm).toBeNull();
  });

  it('measures how far the engine fell through the input speed', () => {
    const slip = (t: number): number => slipFalling(4.5, 500, 20, 400)(t) - (t > 5.7 && t < 6 ? 80 : 0);
    const [episode] = find({ duty: rampFrom(4, 15), slip }).lockUps;
    expect(episode?.overshootRpm).toBeGreaterThan(50);
    expect(episode?.overshootRpm).toBeLessThan(80);
  });

  it.each([
    ['slow', slipFalling(6.5, 500, 20, 150)],
    ['notMade', () => 420],
  ])('is %s when slip does not fall in time', (verdict, slip) => {
    const [episode] = find({ duty: rampFrom(4, 15), slip }).lockUps;
    expect(episode?.verdict).toBe(verdict);
    expect(DEFAULT_POLICY.lockUpLimitS).toBe(4);
  });

  it('is lost when the clutch slips again without a command', () => {
    const slip = (t: number): number => (t > 10 ? 450 : slipFalling(4.5, 500, 20, 400)(t));
    expect(find({ duty: rampFrom(4, 15), slip }).lockUps).toMatchObject([{ verdict: 'lost' }]);
  });

  it('is not lost while its duty is on the way down', () => {
    const duty = (t: number): number => (t < 10 ? rampFrom(4, 15)(t) : Math.max(0, 90 - 30 * (t - 10)));
    const slip = (t: number): number => (t > 11 ? 450 : slipFalling(4.5, 500, 20, 400)(t));
    expect(find({ duty, slip }).lockUps).toMatchObject([{ verdict: 'made' }]);
  });

  it('counts from the last fall of slip when it was low by chance before the ramp had closed the clutch', () => {
    const slip = (t: number): number => (t < 4.4 ? 100 : t < 5.5 ? 400 : slipFalling(5.5, 400, 20, 400)(t));
    const [episode] = find({ duty: rampFrom(4, 15), slip }).lockUps;
    expect(episode?.verdict).toBe('made');
    expect(episode?.madeS).toBeGreaterThan(5.9);
  });

  it('is no fault when a gear change happens with the clutch applied (common practice)', () => {
    const slip = (t: number): number => {
      if (t > 10 && t < 11.3) return 380 * Math.sin((Math.PI * (t - 10)) / 1.3);
      return slipFalling(4.5, 500, 20, 400)(t);
    };
    const { lockUps, shifts } = find({ duty: rampFrom(4, 18), slip, shifts: [{ commandS: 10, from: 5, to: 6 }] });
    expect(shifts.map((shift) => shift.kind)).toEqual(['5-6']);
    expect(lockUps).toMatchObject([{ verdict: 'made', shiftsInside: 1 }]);
  });

  it('is cut by the end of the log or an early release', () => {
    expect(find({ duty: rampFrom(18.5, 99), slip: () => 450 }).lockUps).toMatchObject([
      { verdict: 'cut', madeS: null, releasedS: null },
    ]);
    expect(find({ duty: rampFrom(4, 5), slip: () => 450 }).lockUps).toMatchObject([{ verdict: 'cut', madeS: null }]);
  });

  it('is not made up where the log has no duty', () => {
    const slip = slipFalling(4.5, 500, 20, 400);
    expect(find({ duty: () => Number.NaN, slip }).lockUps).toEqual([]);
  });
});
