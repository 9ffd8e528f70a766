import { evaluateRule } from '@syncline/calibration';
import { describe, expect, it } from 'vitest';
import {
  CURLEW_GEARBOX,
  makeShiftLayout,
  matchedContent,
  PLOVER_GEARBOX,
  randomRoute,
  type ShiftTruth,
  simulateDrive,
  TERN_GEARBOX,
  TERN_LAYOUT,
  TERN_PLATFORM,
  TERN_REVISIONS,
  ternCalibration,
} from '../src/index.js';
import { aCar, aDrive, upAndDown, withTable } from './example.js';

/** The first shift of a kind in a full-throttle or gentle run up through the gears. */
function shiftOf(kind: string, acceleration: number, changes: Parameters<typeof aDrive>[1] = {}): ShiftTruth {
  const { truth } = simulateDrive(aDrive(upAndDown(acceleration, 70 + 22 * acceleration), changes));
  const shift = truth.find((entry) => entry.kind === kind);
  if (shift === undefined) throw new Error(`The drive has no ${kind}: ${truth.map((entry) => entry.kind).join(' ')}.`);
  return shift;
}

const good = matchedContent(TERN_GEARBOX, TERN_LAYOUT);
const scaled = (factor: number) =>
  withTable(good, 'basePressure', (kpa, shift) => (shift === '3-4' ? kpa * factor : kpa));

// Rules of the trade, not results: marked "common practice".
describe('maps of the demo (common practice)', () => {
  const points = [900, 1800, 2600, 3600].flatMap((inputSpeed) =>
    [10, 60, 95].map((fluidTemperature) => ({ inputSpeed, engineSpeed: inputSpeed + 150, fluidTemperature })),
  );

  it.each(TERN_REVISIONS.map(({ id }) => id))('command pressure that rises with load everywhere in %s', (revision) => {
    const content = ternCalibration(revision);
    for (const { id: shift } of TERN_PLATFORM.shifts) {
      for (const point of points) {
        const course = [0, 10, 20, 35, 50, 70, 90, 100].map(
          (load) =>
            evaluateRule(TERN_LAYOUT, content, 'applyPressure', { ...point, shift, program: 'normal', load }).value,
        );
        for (let i = 1; i < course.length; i++) expect(course[i]).toBeGreaterThanOrEqual(course[i - 1] * 0.99);
        expect(course[course.length - 1]).toBeGreaterThan(course[0]);
      }
    }
  });

  it.each(TERN_REVISIONS.map(({ id }) => id))(
    'command less pressure in the calm program and more in the brisk one in %s',
    (revision) => {
      const content = ternCalibration(revision);
      const commanded = (program: string, load: number) =>
        evaluateRule(TERN_LAYOUT, content, 'applyPressure', { ...points[4], shift: '3-4', program, load }).value;
      for (const load of [0, 20, 50, 80, 100]) {
        expect(commanded('calm', load)).toBeLessThan(commanded('normal', load));
        expect(commanded('normal', load)).toBeLessThan(commanded('brisk', load));
      }
    },
  );

  it('drive the solenoids with less current for more pressure', () => {
    const current = good.tables.solenoidCurrent.values.all;
    for (let i = 1; i < current.length; i++) expect(current[i]).toBeLessThan(current[i - 1]);
  });
});

describe('a simulated shift (common practice)', () => {
  it('flares under load when the pressure is too low, and less the more of it is given back', () => {
    const flares = [0.6, 0.7, 0.8, 1.05].map((factor) => shiftOf('3-4', 2.6, { content: scaled(factor) }).flareRpm);
    expect(flares[0]).toBeGreaterThan(60);
    for (let i = 1; i < flares.length; i++) expect(flares[i]).toBeLessThanOrEqual(flares[i - 1]);
    expect(flares[3]).toBe(0);
  });

  it('asks in its truth for more pressure when it flared and for less when it was hurried', () => {
    const low = shiftOf('3-4', 2.6, { content: scaled(0.7) });
    const high = shiftOf('3-4', 2.6, { content: scaled(1.3) });
    expect(low.pressureNeededKpa).toBeGreaterThan(1.1 * low.commandedPressureKpa);
    expect(high.pressureNeededKpa).toBeLessThan(0.95 * high.commandedPressureKpa);
    expect(high.inertiaTimeS).toBeLessThan(0.8 * high.targetTimeS);
    expect(high.peakJerk).toBeGreaterThan(shiftOf('3-4', 2.6).peakJerk);
  });

  it.each([
    ['too little', 0.88],
    ['too much', 1.15],
  ])('comes nearer to its target time when %s pressure is replaced by what the truth says is needed', (_, factor) => {
    const before = shiftOf('3-4', 1.8, { content: scaled(factor) });
    const step = (before.pressureNeededKpa ?? 0) / before.commandedPressureKpa;
    const after = shiftOf('3-4', 1.8, { content: scaled(factor * step) });
    const miss = (shift: ShiftTruth) => Math.abs(Math.log((shift.actualTimeS ?? 9) / shift.targetTimeS));
    expect(miss(after)).toBeLessThan(0.5 * miss(before));
  });

  it('flares more with a worn clutch', () => {
    const content = scaled(0.85);
    const sound = shiftOf('3-4', 2.6, { content });
    const worn = shiftOf('3-4', 2.6, { content, car: aCar({ clutchGain: { E: 0.78 } }) });
    expect(worn.flareRpm).toBeGreaterThan(sound.flareRpm + 40);
  });

  it('flares when the clutch is filled late', () => {
    const content = withTable(good, 'fillTime', (ms, clutch) => (clutch === 'E' ? ms * 0.3 : ms));
    expect(shiftOf('3-4', 2.6, { content }).flareRpm).toBeGreaterThan(60);
  });

  it('binds when the on-coming clutch comes early while the off-going one still holds', () => {
    const early = withTable(
      withTable(good, 'fillTime', (ms, clutch) => (clutch === 'C' ? ms + 120 : ms)),
      'holdTorque',
      (nm, shift) => (shift === '1-2' ? nm + 200 : nm),
    );
    const clean = shiftOf('1-2', 0.8);
    const bound = shiftOf('1-2', 0.8, { content: early });
    expect(clean.tieUpDepth).toBeLessThan(0.3);
    expect(bound.tieUpDepth).toBeGreaterThan(0.7);
  });

  it('takes longer in the calm program than in the brisk one', () => {
    const timeIn = (program: string) => shiftOf('2-3', 1.2, { program }).inertiaTimeS ?? 0;
    expect(timeIn('calm')).toBeGreaterThan(timeIn('normal'));
    expect(timeIn('normal')).toBeGreaterThan(timeIn('brisk'));
  });

  it('answers a floored pedal with a downshift, at a high enough speed one that skips a gear', () => {
    const speed = [...Array(25).keys()].map((i) => Math.min(21, 1.2 * i));
    const dash = [...speed, ...Array(20).fill(21), ...Array(30).fill(36)];
    const { truth } = simulateDrive(
      aDrive({ stepS: 1, speed: Float64Array.from(dash), grade: new Float64Array(dash.length) }),
    );
    const kickdowns = truth.filter(({ from, to, commandS }) => to < from && commandS > 40);
    expect(kickdowns.length).toBeGreaterThan(0);
    expect(kickdowns.every(({ governedBy }) => governedBy === 'offgoing')).toBe(true);
  });

  it('opens the lock-up clutch before it, or keeps it through a light one between high gears', () => {
    const { truth, lockUpTruth } = simulateDrive(aDrive(randomRoute('country', 300, 12)));
    expect(lockUpTruth.length).toBeGreaterThan(5);
    expect(lockUpTruth.filter(({ madeS }) => madeS !== null).length).toBeGreaterThan(lockUpTruth.length / 2);
    expect(lockUpTruth.some(({ shiftsInside }) => shiftsInside > 0)).toBe(true);
    expect(truth.length).toBeGreaterThan(25);
  });
});

it.each([PLOVER_GEARBOX, CURLEW_GEARBOX])(
  '$platform.title shifts cleanly with tables worked out from its tooth counts',
  (gearbox) => {
    const layout = makeShiftLayout(gearbox.platform);
    const content = matchedContent(gearbox, layout);
    const { truth } = simulateDrive(aDrive(randomRoute('country', 300, 3), { gearbox, layout, content }));
    expect(truth.length).toBeGreaterThan(20);
    expect(new Set(truth.map(({ to }) => to)).size).toBe(gearbox.platform.gears.length);
    expect(truth.filter(({ outcome }) => outcome === 'complete').length / truth.length).toBeGreaterThan(0.9);
    expect(truth.filter(({ flareRpm }) => flareRpm >= 60).length / truth.length).toBeLessThan(0.05);
  },
);
