import { describe, expect, it } from 'vitest';
import {
  DEFAULT_POLICY,
  gradeShift,
  isValveHeldOn,
  programPolicy,
  type Shift,
  type ShiftMeasures,
  valueAtLoad,
} from '../src/index.js';
import { aShift } from './a-shift.js';

const grade = (
  measures: Partial<ShiftMeasures>,
  overrides: Partial<Shift> = {},
  program: string | null = null,
): string => gradeShift(aShift(measures, overrides), DEFAULT_POLICY, program).join(' ');

describe('the default policy', () => {
  it.each([
    [59, 60, 'clean'],
    [60, 49, 'clean'],
    [60, 50, 'flare'],
    [200, 400, 'flare'],
  ])('calls a flare of %i rpm for %i ms %s (methods.md 4)', (flareRpm, flareMs, expected) => {
    expect(grade({ flareRpm, flareMs })).toBe(expected);
  });

  it.each([
    [0.79, 'clean'],
    [0.8, 'tie-up'],
    [null, 'clean'],
  ])('calls a dip of %s m/s² %s (methods.md 4)', (tieUpDepth, expected) => {
    expect(grade({ tieUpDepth })).toBe(expected);
  });

  it.each([
    [1.69, 'clean'],
    [1.71, 'slow'],
  ])('calls %f times the target time %s (methods.md 4)', (times, expected) => {
    const target = valueAtLoad(DEFAULT_POLICY.programs.default.targetInertiaTimeS, 50);
    expect(grade({ inertiaTimeS: times * target })).toBe(expected);
  });

  it('calls a shift harsh by a limit that rises with load', () => {
    const peakJerk = valueAtLoad(DEFAULT_POLICY.programs.default.harshJerk, 50) + 1;
    expect(grade({ peakJerk })).toBe('harsh');
    expect(grade({ peakJerk }, { at: { ...aShift().at, load: 100 } })).toBe('clean');
  });

  it('takes the most lenient limit where the load is not logged', () => {
    const peakJerk = valueAtLoad(DEFAULT_POLICY.programs.default.harshJerk, 50) + 1;
    const at = { ...aShift().at, load: null };
    expect(grade({ peakJerk }, { at })).toBe('clean');
    expect(grade({ peakJerk: 100 }, { at })).toBe('harsh');
  });

  it('calls incomplete what never synchronised, or only after 2.5 s (methods.md 4)', () => {
    expect(grade({}, { outcome: 'unsynchronised' })).toBe('incomplete');
    expect(grade({ shiftTimeS: 2.6 })).toBe('incomplete');
    expect(grade({ shiftTimeS: 2.4 })).toBe('clean');
  });

  it('lets several hold at once, and clean stand alone', () => {
    expect(grade({ flareRpm: 150, flareMs: 200, tieUpDepth: 1, peakJerk: 90, inertiaTimeS: 2, shiftTimeS: 3 })).toBe(
      'flare tie-up harsh slow incomplete',
    );
  });

  it('does not call a cut shift clean', () => {
    expect(grade({}, { outcome: 'cut' })).toBe('');
    expect(grade({ flareRpm: 150, flareMs: 200 }, { outcome: 'cut' })).toBe('flare');
  });

  it('asks the calm program for softer and longer shifts, the brisk one for firmer and shorter (common practice)', () => {
    const [calm, usual, brisk] = ['calm', 'normal', 'brisk'].map((id) => programPolicy(DEFAULT_POLICY, id));
    for (const load of [0, 30, 60, 100]) {
      const of = (table: 'harshJerk' | 'targetInertiaTimeS', program: typeof usual): number =>
        valueAtLoad((program as NonNullable<typeof usual>)[table], load);
      expect(of('harshJerk', calm)).toBeLessThan(of('harshJerk', usual));
      expect(of('harshJerk', usual)).toBeLessThan(of('harshJerk', brisk));
      expect(of('targetInertiaTimeS', calm)).toBeGreaterThan(of('targetInertiaTimeS', usual));
      expect(of('targetInertiaTimeS', usual)).toBeGreaterThan(of('targetInertiaTimeS', brisk));
    }
    expect(usual).toBe(DEFAULT_POLICY.programs.default);
  });

  it('reports a valve held on after the ratio is reached (common practice)', () => {
    expect(isValveHeldOn(aShift({ valveOnAfterSyncS: 1.8 }), DEFAULT_POLICY)).toBe(true);
    expect(isValveHeldOn(aShift({ valveOnAfterSyncS: 0.25 }), DEFAULT_POLICY)).toBe(false);
    expect(isValveHeldOn(aShift({ valveOnAfterSyncS: null }), DEFAULT_POLICY)).toBe(false);
  });
});

describe('a table by load', () => {
  const table = { load: [0, 50, 100], value: [10, 20, 40] };

  it.each([
    [-20, 10],
    [0, 10],
    [25, 15],
    [50, 20],
    [75, 30],
    [100, 40],
    [130, 40],
  ])('at %i %% has the value %i', (load, expected) => {
    expect(valueAtLoad(table, load)).toBeCloseTo(expected, 12);
  });

  it('of one point is that point everywhere', () => {
    expect([-5, 40, 200].map((load) => valueAtLoad({ load: [40], value: [7] }, load))).toEqual([7, 7, 7]);
  });
});
