import { checkContent, checkLayout, contentHash } from '@syncline/calibration';
import { beforeAll, describe, expect, it } from 'vitest';
import {
  CURLEW_GEARBOX,
  driveTern,
  makeShiftLayout,
  matchedContent,
  PLOVER_GEARBOX,
  type ShiftTruth,
  TERN_LAYOUT,
  TERN_PLATFORM,
  TERN_REVISIONS,
  type TernRevision,
  ternCalibration,
  ternDrives,
  ternFleet,
} from '../src/index.js';

describe('the Tern', () => {
  it('has a layout without faults, with 14 to 18 tables', () => {
    expect(checkLayout(TERN_LAYOUT, TERN_PLATFORM)).toEqual([]);
    expect(TERN_LAYOUT.tables.length).toBeGreaterThanOrEqual(14);
    expect(TERN_LAYOUT.tables.length).toBeLessThanOrEqual(18);
  });

  it.each(TERN_REVISIONS.map(({ id }) => id))(
    'has a revision %s that breaks no limit, slope or course and loses nothing in storage',
    (id) => {
      expect(checkContent(TERN_LAYOUT, TERN_PLATFORM, ternCalibration(id))).toEqual([]);
    },
  );

  it('has three different revisions, the same ones each time', () => {
    const hashes = TERN_REVISIONS.map(({ id }) => contentHash(ternCalibration(id)));
    expect(new Set(hashes).size).toBe(3);
    expect(TERN_REVISIONS.map(({ id }) => contentHash(ternCalibration(id)))).toEqual(hashes);
  });

  it.each([PLOVER_GEARBOX, CURLEW_GEARBOX])('shares its layout with $platform.title', ({ platform, ...gearbox }) => {
    const layout = makeShiftLayout(platform);
    expect(checkLayout(layout, platform)).toEqual([]);
    expect(checkContent(layout, platform, matchedContent({ platform, ...gearbox }, layout))).toEqual([]);
  });
});

describe('the club', () => {
  const cars = ternFleet('club');

  it('has 24 cars of different testers on both dialects, one of them declared wrongly and one with a worn clutch', () => {
    expect(cars).toHaveLength(24);
    expect(new Set(cars.map(({ tester }) => tester)).size).toBe(24);
    const dialects = TERN_PLATFORM.dialects.map(({ id }) => id).sort();
    expect([...new Set(cars.map(({ dialect }) => dialect.id))].sort()).toEqual(dialects);
    expect(cars.filter(({ dialect, declaredDialectId }) => dialect.id !== declaredDialectId)).toHaveLength(1);
    expect(cars.filter(({ clutchGain }) => clutchGain.E < 0.8)).toHaveLength(1);
  });

  it('plans 150 drives, each car never going back to an older revision', () => {
    const drives = ternDrives('club', cars.length);
    expect(drives).toHaveLength(150);
    const newest = new Map<number, string>();
    for (const { carIndex, revision } of drives) {
      expect(revision >= (newest.get(carIndex) ?? '')).toBe(true);
      newest.set(carIndex, revision);
    }
    expect(ternDrives('club', cars.length)).toEqual(drives);
  });

  it('is the same fleet for the same seed, car by car, whatever its size', () => {
    expect(ternFleet('club', 5)).toEqual(cars.slice(0, 5));
  });
});

// What the scenario is meant to show. Wide bounds: a plausible club, not pinned figures.
describe('drives of the club', () => {
  const truths = new Map<TernRevision, ShiftTruth[]>();
  const minutes = { count: 0 };
  const isFlare = (shift: ShiftTruth) => shift.flareRpm >= 60 && shift.flareMs >= 50;
  const share = (shifts: ShiftTruth[], test: (shift: ShiftTruth) => boolean) =>
    shifts.filter(test).length / shifts.length;
  const of = (revision: TernRevision) => truths.get(revision) ?? [];

  beforeAll(() => {
    const cars = ternFleet('club');
    const planned = ternDrives('club', cars.length, 48).filter(({ carIndex }) => cars[carIndex].clutchGain.E > 0.8);
    const drives = planned.filter((_, i) => i % 4 === 1).map((drive) => ({ ...drive, durationS: 220 }));
    for (const { id } of TERN_REVISIONS) {
      truths.set(
        id,
        drives.flatMap((drive) => [...driveTern({ ...drive, revision: id }, cars[drive.carIndex]).truth]),
      );
    }
    minutes.count = drives.reduce((sum, { durationS }) => sum + durationS / 60, 0);
  }, 120_000);

  it('hold 5 to 13 shifts a minute, nearly all of which end as they began', () => {
    const perMinute = of('r3').length / minutes.count;
    expect(perMinute).toBeGreaterThan(5);
    expect(perMinute).toBeLessThan(13);
    expect(share(of('r3'), ({ outcome }) => outcome === 'complete')).toBeGreaterThan(0.93);
  });

  it('flare least with the third revision, and with the first above all under load', () => {
    expect(share(of('r1'), isFlare)).toBeGreaterThan(0.04);
    expect(share(of('r3'), isFlare)).toBeLessThan(0.02);
    const heavy = of('r1').filter(({ at, from, to }) => at.load > 50 && to > from);
    expect(share(heavy, isFlare)).toBeGreaterThan(0.25);
  });

  it('bind with the first revision above all when cold and light', () => {
    const binds = (shift: ShiftTruth) => shift.tieUpDepth >= 0.7;
    const ups = of('r1').filter(({ from, to }) => to > from);
    const cold = ups.filter(({ at }) => at.fluidTemperatureC < 40 && at.load < 30);
    const warm = ups.filter(({ at }) => at.fluidTemperatureC > 75 && at.load < 30);
    expect(share(cold, binds)).toBeGreaterThan(2 * share(warm, binds));
  });

  it('spoil one corner with the second revision: 4-5 under load', () => {
    const corner = (revision: TernRevision) => of(revision).filter(({ kind, at }) => kind === '4-5' && at.load > 30);
    expect(share(corner('r2'), isFlare)).toBeGreaterThan(share(corner('r1'), isFlare) + 0.1);
    expect(share(corner('r2'), isFlare)).toBeGreaterThan(share(corner('r3'), isFlare) + 0.1);
  });

  it('take 0.2 to 0.75 s in nine of ten upshifts of the third revision, and flare by 40 to 600 rpm when they do', () => {
    const ups = of('r3').filter(({ from, to, outcome }) => to - from === 1 && outcome === 'complete');
    expect(share(ups, ({ inertiaTimeS }) => (inertiaTimeS ?? 0) > 0.2 && (inertiaTimeS ?? 9) < 0.75)).toBeGreaterThan(
      0.9,
    );
    const flares = of('r1').filter(isFlare);
    expect(share(flares, ({ flareRpm }) => flareRpm < 600)).toBeGreaterThan(0.9);
  });
});
