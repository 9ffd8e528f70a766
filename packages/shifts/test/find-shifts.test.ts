import { describe, expect, it } from 'vitest';
import { analyseDrive, type DriveSetup, type Shift } from '../src/index.js';
import {
  buildDrive,
  CAR,
  PLATFORM,
  type PlannedDrive,
  type PlannedShift,
  plannedSpeeds,
  ratioOf,
  without,
} from './drive-builder.js';

const SETUP: DriveSetup = { platform: PLATFORM, car: CAR };
const USUAL_NOISE = { input: 6, output: 3 };

function drive(overrides: Partial<PlannedDrive> & { shifts: readonly PlannedShift[] }): PlannedDrive {
  return { durationS: 12, rateHz: 100, startGear: overrides.shifts[0]?.from ?? 3, ...overrides };
}

const find = (planned: PlannedDrive): Shift[] => analyseDrive([buildDrive(planned)], SETUP).shifts;

/** Crossing times of the noiseless speeds, found at a tenth of a millisecond (methods.md 2.4). */
function trueTimes(planned: PlannedDrive, shift: PlannedShift): { inertiaStartS: number; syncS: number } {
  const { input, output } = plannedSpeeds(planned);
  const outside = (t: number, gear: number): number => {
    const line = ratioOf(gear) * output(t);
    return Math.abs(input(t) - line) - Math.max(25, 0.015 * line);
  };
  const from = shift.commandS;
  const middle = from + (shift.delayS ?? 0.4) + (shift.changeS ?? 0.5) / 2;
  let inertiaStartS = middle;
  while (outside(inertiaStartS, shift.from) > 0) inertiaStartS -= 1e-4;
  let syncS = middle + 2;
  while (outside(syncS, shift.to) <= 0) syncS -= 1e-4;
  return { inertiaStartS, syncS };
}

describe('a single shift', () => {
  it.each([
    [1, 2, 'up', false],
    [2, 3, 'up', false],
    [5, 6, 'up', false],
    [2, 1, 'down', false],
    [6, 5, 'down', false],
    [6, 4, 'down', true],
    [3, 5, 'up', true],
  ])('from %i to %i is found with its gears, direction and command', (from, to, direction, isSkip) => {
    const [shift, ...others] = find(drive({ shifts: [{ commandS: 5, from, to }], noiseRpm: USUAL_NOISE }));
    expect(others).toEqual([]);
    expect(shift).toMatchObject({
      from,
      to,
      endedIn: to,
      kind: `${from}-${to}`,
      direction,
      isSkip,
      outcome: 'complete',
    });
    expect(shift).toMatchObject({ commandSource: 'gearTarget', isPowerOn: true, disturbances: [] });
    expect(shift?.commandS).toBeCloseTo(5, 6);
  });

  it.each([
    [100, 3, 4, 0.015],
    [100, 4, 3, 0.015],
    [200, 2, 3, 0.015],
    [50, 5, 6, 0.025],
    [20, 3, 4, 0.04],
  ])('at %i Hz from %i to %i is timed within %f s of the noiseless crossings', (rateHz, from, to, withinS) => {
    for (let seed = 1; seed <= 8; seed++) {
      const shifts = [{ commandS: 5.003 + seed / 300, from, to }];
      const planned = drive({ shifts, rateHz, seed, noiseRpm: USUAL_NOISE });
      const truth = trueTimes(planned, shifts[0] as PlannedShift);
      const [shift] = find(planned);
      expect(Math.abs((shift?.inertiaStartS as number) - truth.inertiaStartS)).toBeLessThan(withinS);
      expect(Math.abs((shift?.syncS as number) - truth.syncS)).toBeLessThan(withinS);
    }
  });

  it('has times and indices in order and measures that add up', () => {
    const [shift] = find(drive({ shifts: [{ commandS: 5, from: 3, to: 4 }], noiseRpm: USUAL_NOISE }));
    const { commandS, inertiaStartS, ratio10S, ratio90S, syncS, measures } = shift as Shift;
    const times = [commandS, inertiaStartS, ratio10S, ratio90S, syncS] as number[];
    expect(times).toEqual([...times].sort((a, b) => a - b));
    expect((measures.delayS as number) + (measures.inertiaTimeS as number)).toBeCloseTo(
      measures.shiftTimeS as number,
      9,
    );
    expect(shift?.startIndex).toBe(500);
    expect((shift?.endIndex as number) / 100).toBeCloseTo((syncS as number) + 0.01, 1);
  });

  it('is found without any logged gear, and its command is the last moment in the old gear', () => {
    const batch = without(buildDrive(drive({ shifts: [{ commandS: 5, from: 3, to: 4 }] })), 'gear', 'gearTarget');
    const [shift] = analyseDrive([batch], SETUP).shifts;
    expect(shift).toMatchObject({ kind: '3-4', commandSource: 'lastInGear', outcome: 'complete' });
    expect(shift?.measures.delayS).toBeNull();
    expect(Math.abs((shift?.commandS as number) - (shift?.inertiaStartS as number))).toBeLessThan(0.03);
  });

  it('does not take a target chosen long before for its command', () => {
    const preselected = { gearTarget: (t: number) => (t < 1 ? 3 : 4) };
    const [shift] = find(drive({ shifts: [{ commandS: 6, from: 3, to: 4 }], signals: preselected }));
    expect(shift?.commandSource).toBe('lastInGear');
  });

  it.each([0, 0.9])('is the same whether the gear field flips %f s after the command', (lagS) => {
    const signals = { gear: (t: number) => (t < 5 + lagS ? 3 : 4), gearTarget: () => Number.NaN };
    const [shift] = find(drive({ shifts: [{ commandS: 5, from: 3, to: 4 }], signals }));
    expect(shift).toMatchObject({ kind: '3-4', commandSource: 'lastInGear' });
    expect(shift?.inertiaStartS).toBeCloseTo(
      trueTimes(drive({ shifts: [{ commandS: 5, from: 3, to: 4 }] }), { commandS: 5, from: 3, to: 4 }).inertiaStartS,
      2,
    );
  });

  it('bears gear codes beyond the gears and fractions between them', () => {
    const signals = { gearTarget: (t: number) => (t < 5 ? 3 : t < 5.2 ? 13 : t < 5.4 ? 3.5 : 4), gear: () => 14 };
    const [shift, ...others] = find(drive({ shifts: [{ commandS: 5, from: 3, to: 4 }], signals }));
    expect(others).toEqual([]);
    expect(shift).toMatchObject({ kind: '3-4', outcome: 'complete' });
  });

  it('is power-off when the torque at the command does not drive the car', () => {
    const [shift] = find(drive({ shifts: [{ commandS: 5, from: 3, to: 4 }], signals: { load: () => -8 } }));
    expect(shift).toMatchObject({ isPowerOn: false });
    expect(shift?.at).toMatchObject({ load: -8, inputTorqueNm: -24 });
  });
});

describe('several shifts', () => {
  it('are found each, in order, through the whole gearbox', () => {
    const shifts = [1, 2, 3, 4, 5].map((from) => ({ commandS: 4 + 3 * from, from, to: from + 1 }));
    const found = find(drive({ durationS: 26, shifts, startGear: 1, noiseRpm: USUAL_NOISE }));
    expect(found.map((shift) => shift.kind)).toEqual(['1-2', '2-3', '3-4', '4-5', '5-6']);
  });

  it('is hunting when undone within 3 s, and not when later', () => {
    const there = { commandS: 4, from: 4, to: 5 };
    const soon = find(drive({ durationS: 20, shifts: [there, { commandS: 7, from: 5, to: 4 }] }));
    expect(soon.map((shift) => shift.isHunting)).toEqual([true, false]);
    const late = find(drive({ durationS: 20, shifts: [there, { commandS: 8.5, from: 5, to: 4 }] }));
    expect(late.map((shift) => shift.isHunting)).toEqual([false, false]);
    const onwards = find(drive({ durationS: 20, shifts: [there, { commandS: 7, from: 5, to: 6 }] }));
    expect(onwards.map((shift) => shift.isHunting)).toEqual([false, false]);
  });

  it('is one skip shift when the gear between is only passed, even slowly', () => {
    const shifts = [{ commandS: 5, from: 6, to: 4, changeS: 1.4, way: (x: number) => x }];
    const found = find(drive({ shifts, noiseRpm: USUAL_NOISE }));
    expect(found.map((shift) => shift.kind)).toEqual(['6-4']);
  });

  it('is two shifts when the gear between is held', () => {
    const found = find(
      drive({
        shifts: [
          { commandS: 4, from: 6, to: 5 },
          { commandS: 5.2, from: 5, to: 4 },
        ],
        noiseRpm: USUAL_NOISE,
      }),
    );
    expect(found.map((shift) => shift.kind)).toEqual(['6-5', '5-4']);
  });
});

describe('a change that does not go to plan', () => {
  it('is retargeted when it goes back to its old gear on the way', () => {
    const way = (x: number): number => 0.6 * Math.sin(Math.PI * x);
    const shifts = [{ commandS: 5, from: 3, to: 4, changeS: 0.8, way }];
    const planned = drive({ shifts });
    const { output } = plannedSpeeds(planned);
    const inputSpeed = (t: number): number => (t < 6.2 ? plannedSpeeds(planned).input(t) : ratioOf(3) * output(t));
    const signals = { inputSpeed, gearTarget: (t: number) => (t > 5 && t < 5.8 ? 4 : 3), gear: () => 3 };
    const found = find({ ...planned, signals });
    expect(found).toHaveLength(1);
    expect(found[0]).toMatchObject({ from: 3, to: 4, endedIn: 3, outcome: 'retargeted', syncS: null });
    const unlogged = without(buildDrive({ ...planned, signals: { inputSpeed } }), 'gear', 'gearTarget');
    expect(analyseDrive([unlogged], SETUP).shifts).toMatchObject([
      { from: 3, to: 4, endedIn: 3, outcome: 'retargeted' },
    ]);
  });

  it('is retargeted when it synchronises in another gear than first asked for', () => {
    const signals = { gearTarget: (t: number) => (t < 5 ? 3 : t < 5.5 ? 4 : 5) };
    const [shift] = find(drive({ shifts: [{ commandS: 5, from: 3, to: 5 }], signals }));
    expect(shift).toMatchObject({ kind: '3-5', outcome: 'retargeted', endedIn: 5, commandS: 5 });
  });

  it.each([
    ['with a logged target', []],
    ['without', ['gear', 'gearTarget'] as const],
  ])('is unsynchronised when it takes longer than 2.5 s, %s', (_, absent) => {
    const shifts = [{ commandS: 5, from: 3, to: 4, changeS: 4, way: (x: number) => Math.min(1, 0.5 + x / 2) }];
    const batch = without(buildDrive(drive({ durationS: 20, shifts })), ...absent);
    expect(analyseDrive([batch], SETUP).shifts).toMatchObject([
      { kind: '3-4', outcome: 'unsynchronised', syncS: null, endedIn: null },
    ]);
  });

  it('is cut by the end of the log as soon as it is commanded, or as its speeds show it', () => {
    const shifts = [{ commandS: 11.6, from: 5, to: 4 }];
    expect(find(drive({ shifts }))).toMatchObject([{ kind: '5-4', outcome: 'cut', commandS: 11.6, syncS: null }]);
    const moving = buildDrive(drive({ shifts: [{ commandS: 11.3, from: 5, to: 4 }] }));
    const { shifts: found } = analyseDrive([without(moving, 'gear', 'gearTarget')], SETUP);
    expect(found).toMatchObject([{ kind: '5-4', outcome: 'cut', syncS: null }]);
  });

  it('is not made up at the end of a log by a target chosen long before', () => {
    expect(find(drive({ shifts: [], startGear: 4, signals: { gearTarget: (t) => (t < 3 ? 4 : 5) } }))).toEqual([]);
  });

  it('does not carry a departure that ended in standstill over to the next drive', () => {
    const outputRpm = (t: number): number =>
      t < 6 ? 1300 : t < 12 ? Math.max(0, 1300 - 650 * (t - 6)) : 60 * (t - 12);
    const inputSpeed = (t: number): number =>
      t < 4
        ? 1.52 * outputRpm(t)
        : t < 12
          ? 1250
          : (t < 28 ? 4.17 : t > 28.4 ? 2.34 : 4.17 - 4.575 * (t - 28)) * outputRpm(t);
    const signals = { inputSpeed, gear: () => Number.NaN, gearTarget: () => Number.NaN };
    const planned = { durationS: 36, rateHz: 100, startGear: 3, shifts: [], outputRpm, signals };
    expect(find(planned).map((shift) => `${shift.kind} ${shift.outcome}`)).toEqual(['1-2 complete']);
  });

  it.each([
    [0.3, 'cut'],
    [1.2, 'cut'],
  ])('is cut by a hole of %f s in its middle', (holeS, outcome) => {
    const times = Array.from({ length: 1200 }, (_, i) => i / 100).filter((t) => t < 5.55 || t > 5.55 + holeS);
    expect(find(drive({ shifts: [{ commandS: 5, from: 3, to: 4 }], times }))).toMatchObject([{ kind: '3-4', outcome }]);
  });

  it('is lost in a gap of hours, with what was under way cut', () => {
    const times = Array.from({ length: 1200 }, (_, i) => i / 100).map((t) => (t < 5.6 ? t : t + 7200));
    const planned = drive({ shifts: [{ commandS: 5, from: 3, to: 4 }], times, outputRpm: () => 1300 });
    const { shifts, findings } = analyseDrive([buildDrive(planned)], SETUP);
    expect(shifts).toMatchObject([{ kind: '3-4', outcome: 'cut' }]);
    expect(findings).toMatchObject({ gaps: 1, stepsBack: 0 });
    expect(findings.longestGapS).toBeCloseTo(7200.01, 6);
    expect(findings.durationS).toBeCloseTo(11.98, 6);
  });
});

describe('nothing is taken for a shift', () => {
  const steady = (signals: PlannedDrive['signals'], outputRpm = (t: number) => 1300 + 5 * t): Shift[] =>
    find({ durationS: 30, rateHz: 100, startGear: 4, shifts: [], noiseRpm: USUAL_NOISE, outputRpm, signals });

  it('when only the converter slips and locks', () => {
    const engineSpeed = (t: number): number => 1.14 * (1300 + 5 * t) + 700 * (1 + Math.sin(t)) * (t % 10 < 5 ? 1 : 0);
    expect(steady({ engineSpeed, converterDuty: (t) => (t % 10 < 5 ? 0 : 80) })).toEqual([]);
  });

  it('when the engine stands while the car rolls', () => {
    expect(steady({ engineSpeed: () => 0 })).toEqual([]);
  });

  it('when wheels spin up and all shafts with them', () => {
    expect(steady({}, (t) => 1300 + (t % 7 < 0.6 ? 260 * Math.sin((Math.PI * (t % 7)) / 0.6) : 0))).toEqual([]);
  });

  it('near standstill, where turbine speed means nothing', () => {
    const outputRpm = (t: number): number => Math.max(0, 600 - 60 * t);
    const inputSpeed = (t: number): number => Math.max(1.14 * outputRpm(t), 250 + 200 * Math.sin(3 * t));
    expect(steady({ inputSpeed, gearTarget: () => 4 }, outputRpm).filter((shift) => shift.commandS > 7)).toEqual([]);
  });

  it('when the selector goes from neutral to a gear', () => {
    const inputSpeed = (t: number): number => (t < 8 ? 850 : 4.17 * 150);
    const gear = (t: number): number => (t < 8 ? 0 : 1);
    expect(steady({ inputSpeed, gear, gearTarget: gear }, () => 150)).toEqual([]);
  });

  it('when the car coasts in logged neutral past one line after the other', () => {
    const outputRpm = (t: number): number => Math.max(0, 1500 - 150 * t);
    const inputSpeed = (t: number): number => (t < 2 ? 1.14 * outputRpm(t) : 780);
    const gear = (t: number): number => (t < 2 ? 4 : 0);
    expect(steady({ inputSpeed, gear, gearTarget: gear }, outputRpm)).toEqual([]);
  });

  it('when single samples are wild or missing', () => {
    let count = 0;
    const inputSpeed = (t: number): number => {
      count++;
      if (count % 97 === 0) return count % 2 === 0 ? 0 : 65535;
      return count % 31 === 0 ? Number.NaN : 1.14 * (1300 + 5 * t);
    };
    expect(steady({ inputSpeed })).toEqual([]);
  });
});
