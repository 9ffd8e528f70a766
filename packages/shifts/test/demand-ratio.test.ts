import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type CarFacts, DEFAULT_POLICY, type DemandRatio, demandRatio, type Shift, valueAtLoad } from '../src/index.js';
import { aShift } from './a-shift.js';
import { CAR } from './drive-builder.js';

type Estimate = Extract<DemandRatio, { kind: 'estimate' }>;

const TARGET_S = valueAtLoad(DEFAULT_POLICY.programs.default.targetInertiaTimeS, 50);

function estimate(shift: Shift, car: CarFacts = CAR): Estimate {
  const ratio = demandRatio(shift, car, DEFAULT_POLICY, null);
  if (ratio.kind !== 'estimate') throw new Error(ratio.reason);
  return ratio;
}

const downshift = (actualTimeS: number, inputTorqueNm: number): Shift =>
  aShift({ actualTimeS }, { direction: 'down', kind: '4-3', from: 4, to: 3, at: { ...aShift().at, inputTorqueNm } });

describe('the demand ratio', () => {
  it('is that of methods.md 5, worked by hand', () => {
    // J·Δω = 0.15 · 500 rpm · π/30 = 7.854 N·m·s; t* = 0.43 s, t_a = 0.6 s, T_in = 150 N·m.
    const { y, weight } = estimate(aShift({ actualTimeS: 0.6 }));
    expect(TARGET_S).toBe(0.43);
    expect(y).toBeCloseTo(Math.log((150 + 7.85398 / 0.43) / (150 + 7.85398 / 0.6)), 6);
    expect(weight).toBe(1);
  });

  it('is 0 exactly when the shift met its target, whatever torque and inertia are believed', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 40, max: 400, noNaN: true }),
        fc.double({ min: 0.02, max: 1, noNaN: true }),
        (torque, inertia) => {
          const shift = aShift({ actualTimeS: TARGET_S }, { at: { ...aShift().at, inputTorqueNm: torque } });
          expect(Math.abs(estimate(shift, { ...CAR, inputInertiaKgM2: inertia }).y)).toBeLessThan(1e-12);
        },
      ),
    );
  });

  it('asks for more pressure the longer an upshift took', () => {
    const ys = [0.2, 0.3, 0.45, 0.5, 0.7].map((actualTimeS) => estimate(aShift({ actualTimeS })).y);
    expect(ys).toEqual([...ys].sort((a, b) => a - b));
    expect(ys[0]).toBeLessThan(0);
    expect(ys[4]).toBeGreaterThan(0);
  });

  it('asks for more pressure when a downshift under power was too quick, and for less when coasting', () => {
    expect(estimate(downshift(0.25, 150)).y).toBeGreaterThan(0);
    expect(estimate(downshift(0.6, 150)).y).toBeLessThan(0);
    expect(estimate(downshift(0.25, -30)).y).toBeLessThan(0);
    expect(estimate(downshift(0.6, -30)).y).toBeGreaterThan(0);
  });

  it('is clipped to ±0.5 and says so', () => {
    const shift = aShift({ actualTimeS: 0.05, speedStepRpm: 2000 });
    expect(estimate(shift)).toMatchObject({ y: -0.5, reasons: ['clipped'] });
  });

  it('weighs a disturbed shift less, and one over a clock step not at all', () => {
    expect(estimate(aShift({}, { disturbances: ['pedalChange'] })).weight).toBeLessThan(0.5);
    const both = estimate(aShift({}, { disturbances: ['pedalChange', 'brake'] }));
    expect(both.weight).toBeLessThan(estimate(aShift({}, { disturbances: ['brake'] })).weight);
    expect(both.reasons).toEqual(['pedalChange', 'brake']);
    expect(estimate(aShift({}, { disturbances: ['clockStep'] })).weight).toBe(0);
  });

  it.each([
    ['notComplete', aShift({}, { outcome: 'retargeted' })],
    ['noTime', aShift({ actualTimeS: null })],
    ['noTorque', aShift({}, { at: { ...aShift().at, inputTorqueNm: null } })],
    ['torqueTooSmall', downshift(0.3, 22)],
  ])('says %s instead of a number', (reason, shift) => {
    expect(demandRatio(shift, CAR, DEFAULT_POLICY, null)).toEqual({ kind: 'insufficient', reason });
  });

  it('follows the target of the program', () => {
    const shift = aShift({ actualTimeS: TARGET_S });
    const of = (program: string): number => (demandRatio(shift, CAR, DEFAULT_POLICY, program) as Estimate).y;
    expect(of('calm')).toBeLessThan(0);
    expect(of('brisk')).toBeGreaterThan(0);
  });
});
