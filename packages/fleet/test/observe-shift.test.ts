import type { Layout, Platform, RevisionContent, TableSpec } from '@syncline/calibration';
import { DEFAULT_POLICY, demandRatio, type Shift } from '@syncline/shifts';
import { describe, expect, it } from 'vitest';
import { countedGain, designRows, pressureResponse } from '../src/estimate/design-row.js';
import { estimateCorrections } from '../src/estimate/estimate-corrections.js';
import { nodeDesign } from '../src/estimate/node-design.js';
import { averageRow, observeAdaptation } from '../src/estimate/observe-adaptation.js';
import { fillErrorMs, fillObserver, tableDesign } from '../src/estimate/observe-fill.js';
import { observeShift, operatingPointOf } from '../src/estimate/observe-shift.js';
import { mergeShiftMoments, shiftMomentsOf } from '../src/estimate/shift-moments.js';
import { proposeCorrections } from '../src/propose/propose-corrections.js';
import { Draws } from './random.js';

const table = (id: string, parts: Partial<TableSpec>): TableSpec => ({
  id,
  title: id,
  quantity: 'any',
  unit: 'kPa',
  repeat: 'once',
  axes: [],
  storage: { type: 'u16', resolution: 1, offset: 0 },
  limits: { min: 0, max: 2000 },
  monotone: [],
  slopeLimits: [],
  defaultValue: 100,
  ...parts,
});
const axis = (quantity: 'load' | 'fluidTemperature', breakpoints: number[]) => ({
  quantity,
  title: quantity,
  unit: '1',
  breakpoints,
  editable: true,
});

const layout: Layout = {
  platformId: 'plain',
  version: 1,
  title: 'Plain',
  tables: [
    table('base', { repeat: 'shift', axes: [axis('load', [0, 50, 100])] }),
    table('factor', { unit: '1', axes: [axis('fluidTemperature', [0, 100])] }),
    table('fillTime', { unit: 'ms', repeat: 'clutch', axes: [axis('fluidTemperature', [0, 100])] }),
  ],
  rules: [
    { id: 'apply', title: 'Apply', unit: 'kPa', kind: 'product', tables: ['base', 'factor'], returnPressureKpa: 60 },
  ],
};
const content: RevisionContent = {
  platformId: 'plain',
  layoutVersion: 1,
  tables: {
    base: { axes: [[0, 50, 100]], values: { '3-4': [80, 160, 300] } },
    factor: { axes: [[0, 100]], values: { all: [1.2, 1] } },
    fillTime: { axes: [[0, 100]], values: { C3: [300, 120] } },
  },
};
const platform: Platform = {
  id: 'plain',
  title: 'Plain',
  gears: [
    { gear: 3, ratio: 1.5, applied: ['C1', 'B2'] },
    { gear: 4, ratio: 1, applied: ['C1', 'C3'] },
  ],
  clutches: [],
  shifts: [{ id: '3-4', from: 3, to: 4 }],
  programs: [],
  dialects: [],
  ratedInputTorqueNm: 300,
  inputInertiaKgM2: 0.15,
};
const car = { ratedInputTorqueNm: 300, inputInertiaKgM2: 0.15, tyreRadiusM: 0.34, finalDriveRatio: 3.7 };

function aShift({
  at,
  measures,
  ...parts
}: { at?: Partial<Shift['at']>; measures?: Partial<Shift['measures']> } & Partial<
  Omit<Shift, 'at' | 'measures'>
> = {}): Shift {
  return {
    from: 3,
    to: 4,
    endedIn: 4,
    kind: '3-4',
    direction: 'up',
    isSkip: false,
    isPowerOn: true,
    outcome: 'complete',
    isHunting: false,
    startIndex: 0,
    endIndex: 100,
    commandS: 1,
    commandSource: 'gearTarget',
    inertiaStartS: 1.3,
    flareStartS: null,
    syncS: 1.7,
    ratio10S: null,
    ratio90S: null,
    disturbances: [],
    ...parts,
    at: {
      load: 50,
      inputTorqueNm: 150,
      engineSpeedRpm: 2100,
      inputSpeedRpm: 2000,
      outputSpeedRpm: 1333,
      fluidTemperatureC: 100,
      pedal: 40,
      programCode: null,
      applyPressureKpa: null,
      supplyVoltageV: null,
      ...at,
    },
    measures: {
      flareRpm: 0,
      flareMs: 0,
      flareRevolutions: 0,
      shiftTimeS: 0.7,
      inertiaTimeS: 0.4,
      delayS: 0.3,
      peakToPeakAcceleration: 1,
      peakJerk: 5,
      tieUpDepth: 0,
      tieUpImpulse: 0,
      speedStepRpm: 667,
      slipEnergyJ: null,
      valveOnAfterSyncS: null,
      actualTimeS: 0.4,
      appliedStartKpa: null,
      appliedMeanKpa: null,
      ...measures,
    },
  };
}

const design = nodeDesign(layout, content, 'apply');
const context = { rowAt: designRows(design), platform, car, policy: DEFAULT_POLICY, programId: null };

describe('the observation of a shift', () => {
  it('has the rule’s gradient as row, and the gain p/(p − p_ret) of methods.md 5', () => {
    const found = observeShift(aShift({ at: { load: 75 } }), context);
    if (found.kind !== 'observation') throw new Error(found.reason);
    // Base between 160 and 300: 230 kPa, of which the nodes give 80 and 150; the factor stands on its last node.
    expect(found.row.nodes).toEqual([1, 2, 4]);
    expect(found.row.shares).toEqual([80 / 230, 150 / 230, 1].map((share) => expect.closeTo(share, 12)));
    expect(found.row.gain).toBeCloseTo(230 / (230 - 60), 12);
  });

  it('moves by y·(p − p_ret)/p in pressure when it is the only evidence (methods.md 5)', () => {
    const slow = aShift({ measures: { actualTimeS: 0.6 } });
    const found = observeShift(slow, context);
    const demand = demandRatio(slow, car, DEFAULT_POLICY, null);
    if (found.kind !== 'observation' || demand.kind !== 'estimate') throw new Error('expected an observation');
    expect(demand.y).toBeGreaterThan(0.02);
    const moments = new Map([['car', shiftMomentsOf(Array.from({ length: 4000 }, () => found))]]);
    const estimate = estimateCorrections(design, moments, {
      start: { residualSd: 0.05, vehicleSd: 1e-5, vehicleShiftSd: 1e-5, roughnessSd: { base: 1, multiplier: 1 } },
      maxIterations: 0,
    });
    if (estimate.kind !== 'estimate') throw new Error('expected an estimate');
    expect(estimate.correctionLn[1] / ((demand.y * (160 - 60)) / 160)).toBeCloseTo(1, 1);
    // Exactly: a torque in proportion to p − 60 kPa that is to grow by e^y.
    expect(estimate.correctionLn[1]).toBeCloseTo(Math.log((60 + 100 * Math.exp(demand.y)) / 160), 4);
  });

  it('is put back to what it would have been without a trim installed in the car', () => {
    const [plain, trimmed] = [0, 0.1].map((appliedTrimLn) => observeShift(aShift(), { ...context, appliedTrimLn }));
    if (plain.kind !== 'observation' || trimmed.kind !== 'observation') throw new Error('expected observations');
    expect(trimmed.y - plain.y).toBeCloseTo(0.1 * countedGain(160 / 100), 10);
  });

  it('counts a flare also of a shift that gives no demand ratio', () => {
    const shift = aShift({ outcome: 'unsynchronised', measures: { flareRpm: 200, flareMs: 300, actualTimeS: null } });
    const found = observeShift(shift, context);
    if (found.kind !== 'observation') throw new Error(found.reason);
    expect([found.weight, found.counts.shifts, found.counts.flare]).toEqual([0, 1, 1]);
    const own = shiftMomentsOf([found]).get('3-4');
    expect([own?.shifts, own?.weight, own?.flares.reduce((sum, x) => sum + x, 0)]).toEqual([0, 0, 2]);
  });

  it.each([
    ['without a coordinate of the tables', { at: { fluidTemperatureC: null } }, 'missingCoordinate'],
    ['of a kind that the content has no table for', { kind: '2-3' }, 'missingVariant'],
  ])('is none %s', (_, parts, reason) => {
    expect(observeShift(aShift(parts), context)).toEqual({ kind: 'insufficient', reason });
  });
});

describe('a pressure that was not the command’s all the time', () => {
  const target = demandRatio(aShift(), car, DEFAULT_POLICY, null);
  if (target.kind !== 'estimate') throw new Error('expected an estimate');
  const { targetTimeS } = target;
  const yOf = (measures: Partial<Shift['measures']>) => {
    const found = observeShift(aShift({ measures }), { ...context, returnPressureKpa: 60 });
    if (found.kind !== 'observation') throw new Error(found.reason);
    return found.y;
  };

  it('is held against its mean over the target time, what it missed that by counted at the pressure of its end', () => {
    // Over the return spring 90 kPa at first and 100 on average of a time twice the target, so 110 at its end.
    const actualTimeS = 2 * targetTimeS;
    const late = demandRatio(aShift({ measures: { actualTimeS } }), car, DEFAULT_POLICY, null);
    if (late.kind !== 'estimate') throw new Error('expected an estimate');
    // Half of the time at 110 kPa belongs off: (2·100 − 110)/1 = 90 kPa over the target time, and 100·e^y were needed.
    const missing = 100 * Math.exp(late.y) - 90;
    const wanted = Math.log(1 + missing / 160);
    expect(yOf({ actualTimeS, appliedStartKpa: 150, appliedMeanKpa: 160 })).toBeCloseTo(countedGain(1.6) * wanted, 9);
  });

  it.each([140, 160, 190])(
    'asks for nothing of a shift that met its target, from %i kPa at first',
    (appliedStartKpa) => {
      expect(yOf({ actualTimeS: targetTimeS, appliedStartKpa, appliedMeanKpa: 160 })).toBeCloseTo(0, 9);
    },
  );
});

describe('a downshift that was over too soon to be timed', () => {
  const down = (parts: Parameters<typeof aShift>[0]) => {
    const found = observeShift(aShift({ direction: 'down', ...parts }), context);
    if (found.kind !== 'observation') throw new Error(found.reason);
    return found;
  };
  const short = { actualTimeS: 0.08, speedStepRpm: 400 };

  it('asks for more where the input torque alone can have made it so quick', () => {
    // 0.15 kg·m² over 400 rpm in 0.08 s take 79 of the 150 N·m.
    const { y, weight } = down({ measures: short });
    expect(weight).toBe(0.5);
    expect(y).toBeGreaterThan(0.2);
  });

  it.each([
    ['that the on-coming clutch must have pulled', { measures: { ...short, speedStepRpm: 900 } }],
    ['that was disturbed', { measures: short, disturbances: ['brake' as const] }],
    ['whose torque is unknown', { measures: short, at: { inputTorqueNm: null } }],
    ['that was not completed', { measures: short, outcome: 'retargeted' as const }],
  ])('tells nothing of one %s', (_, parts) => {
    expect(down(parts)).toMatchObject({ y: 0, weight: 0 });
  });
});

describe('a command that the return spring takes whole', () => {
  const weak = {
    ...content,
    tables: { ...content.tables, base: { axes: [[0, 50, 100]], values: { '3-4': [20, 50, 60] } } },
  };
  const rowAt = designRows(nodeDesign(layout, weak, 'apply'));
  const observed = (shift: Shift) => {
    const found = observeShift(shift, { ...context, rowAt, returnPressureKpa: 60 });
    if (found.kind !== 'observation') throw new Error(found.reason);
    return found;
  };

  it('is raised to the return pressure at least by a shift that wants more', () => {
    const { y, row } = observed(aShift({ measures: { actualTimeS: 0.5 } }));
    expect(Math.exp(y / row.gain) * 50).toBeGreaterThanOrEqual(60 - 1e-9);
  });

  it('is raised so by one that flared, whatever else is known of it', () => {
    const flared = aShift({ at: { inputTorqueNm: null }, measures: { flareRpm: 120, flareMs: 90 } });
    const { y, weight, row } = observed(flared);
    expect([weight, Math.exp(y / row.gain) * 50]).toEqual([0.5, expect.closeTo(60, 9)]);
    expect(observed(aShift({ at: { inputTorqueNm: null } })).weight).toBe(0);
  });

  it('says nothing when the shift was quick enough without', () => {
    expect(observed(aShift({ measures: { actualTimeS: 0.15 } })).weight).toBe(0);
  });
});

describe('the operating point of a shift', () => {
  const made = { shiftTimeS: 0.8, actualTimeS: 0.4 };
  // At synchronisation the output turns at speed step / step of the ratio: 800/0.5 = 1600 rpm, halfway there at the release.
  const gaining = aShift({ at: { outputSpeedRpm: 1400 }, measures: { ...made, speedStepRpm: 800 } });

  it('is that of the release, until when a car under power gains speed', () => {
    const point = operatingPointOf(gaining, platform, null);
    expect(point.outputSpeed).toBeCloseTo(1500, 9);
    expect(point.inputSpeed).toBeCloseTo((2000 * 1500) / 1400, 9);
    // The engine keeps its 100 rpm of converter slip.
    expect((point.engineSpeed ?? 0) - (point.inputSpeed ?? 0)).toBeCloseTo(100, 9);
    expect(point.load).toBe(50);
  });

  it.each([
    ['never synchronised', { outcome: 'unsynchronised' as const }, { actualTimeS: null, shiftTimeS: null }],
    ['has a speed step that cannot be', {}, { ...made, speedStepRpm: 2500 }],
  ])('is that of the command when the shift %s', (_, parts, measures) => {
    const point = operatingPointOf(aShift({ ...parts, measures }), platform, null);
    expect([point.inputSpeed, point.outputSpeed, point.engineSpeed]).toEqual([2000, 1333, 2100]);
  });
});

describe('a flare that the unit answered in time', () => {
  const target = demandRatio(aShift(), car, DEFAULT_POLICY, null);
  if (target.kind !== 'estimate') throw new Error('expected an estimate');
  const applied = { actualTimeS: target.targetTimeS, appliedStartKpa: 150, appliedMeanKpa: 200 };
  const yOf = (shift: Shift) => {
    const found = observeShift(shift, { ...context, returnPressureKpa: 60 });
    if (found.kind !== 'observation') throw new Error(found.reason);
    return found.y;
  };

  it('asks for a command that holds the input torque, though its time met the target', () => {
    // T = T_in + J·Δω/t was carried by 200 − 60 kPa, so the command's 160 − 60 held less than T_in.
    const got = 150 + (platform.inputInertiaKgM2 * (Math.PI / 30) * 667) / target.targetTimeS;
    const held = (got * 100) / 140;
    expect(held).toBeLessThan(150);
    const flared = aShift({ measures: { ...applied, flareRpm: 90, flareMs: 200 } });
    expect(yOf(flared)).toBeCloseTo(
      pressureResponse(Math.log(150 / held), { gain: countedGain(1.6), torqueGain: 1.6 }),
      9,
    );
    // What the car is trimmed by has no part in it: the pressure applied holds the trim.
    const trimmed = observeShift(flared, { ...context, returnPressureKpa: 60, appliedTrimLn: 0.02 });
    expect(trimmed.kind === 'observation' && trimmed.y).toBeCloseTo(yOf(flared), 12);
  });

  it.each([
    ['did not flare', {}],
    ['did not log what was applied', { flareRpm: 90, flareMs: 200, appliedStartKpa: null, appliedMeanKpa: null }],
  ])('asks for nothing when the shift %s', (_, measures) => {
    expect(yOf(aShift({ measures: { ...applied, ...measures } }))).toBeCloseTo(0, 9);
  });
});

describe('the fill channel', () => {
  const fill = tableDesign(layout, content, 'fillTime');
  const observe = fillObserver(fill);
  const late = { flareRpm: 150, flareMs: 80 };
  const early = { tieUpDepth: 2, tieUpImpulse: 0.12 };

  it.each([
    ['takes the time of a flare as late', late, 80],
    ['takes impulse over depth of a tie-up as early', early, -60],
    ['finds no error in a clean shift', {}, 0],
    ['cannot tell when a shift flares and binds', { ...late, ...early }, null],
    ['cannot tell without a measure of tie-up', { tieUpDepth: null }, null],
  ])('%s', (_, measures, errorMs) => {
    const found = fillErrorMs(aShift({ measures }), DEFAULT_POLICY, null);
    expect(found).toEqual(errorMs === null ? null : expect.closeTo(errorMs, 10));
  });

  it('lengthens the fill time of a clutch that comes late in most cars, at the temperature where it does', () => {
    const draws = new Draws(4);
    const moments = new Map(
      Array.from({ length: 12 }, (_, j) => {
        const shifts = Array.from({ length: 60 }, () => {
          const cold = draws.uniform() < 0.5;
          const measures = cold && draws.uniform() < 0.9 ? { flareRpm: 120, flareMs: 60 + 40 * draws.uniform() } : {};
          return observe(aShift({ at: { fluidTemperatureC: cold ? 0 : 100 }, measures }), context);
        });
        return [`car ${j}`, shiftMomentsOf(shifts.filter((found) => found.kind === 'observation'))];
      }),
    );
    const estimate = estimateCorrections(fill, moments);
    if (estimate.kind !== 'estimate') throw new Error('expected an estimate');
    const [cold, warm] = proposeCorrections(fill, estimate);
    // 0.9 of the shifts are 80 ms late of 300 ms, half of which is taken back: 12 %, more than the step.
    expect([cold.variant, cold.proposedValue, cold.reasons]).toEqual(['C3', 324, ['stepLimit']]);
    expect(warm.change).toBe('leave');
  });
});

describe('adaptation values', () => {
  const fleet = (learntLn: (car: number) => number) =>
    new Map(
      Array.from({ length: 20 }, (_, j) => {
        // The control unit has made up for everything: its shifts are on target with what it has learnt.
        const shifts = [40, 50, 60, 70].map((load) =>
          observeShift(aShift({ at: { load } }), { ...context, appliedTrimLn: learntLn(j) }),
        );
        const driven = shiftMomentsOf(shifts.filter((found) => found.kind === 'observation'));
        const row = averageRow(driven, '3-4');
        if (!row) throw new Error('expected a row');
        const value = { shiftKind: '3-4', learntLn: learntLn(j), worthShifts: 5 };
        return [
          `car ${String(j).padStart(2, '0')}`,
          mergeShiftMoments(driven, shiftMomentsOf([observeAdaptation(value, row)])),
        ];
      }),
    );

  it('that most cars have learnt move into the base map, the rest stays trim', () => {
    const own = (j: number) => (j % 2 === 0 ? 0.03 : -0.03);
    const estimate = estimateCorrections(
      design,
      fleet((j) => 0.06 + own(j)),
    );
    const shared = estimateCorrections(
      design,
      fleet(() => 0),
    );
    if (estimate.kind !== 'estimate' || shared.kind !== 'estimate') throw new Error('expected estimates');
    expect(estimate.correctionLn[1] - shared.correctionLn[1]).toBeCloseTo(0.06, 2);
    // In torque a trim is p/(p − p_ret) times as large: about 1.6 at 160 kPa.
    for (const [j, { trimLn }] of estimate.trims.entries()) {
      expect(Math.sign(trimLn)).toBe(Math.sign(own(j)));
      expect(Math.abs(trimLn)).toBeGreaterThan(0.03);
    }
  });

  it('count as evidence but not as graded shifts, and need shifts for an average row', () => {
    const value = observeAdaptation(
      { shiftKind: '3-4', learntLn: 0.1, worthShifts: 5 },
      { nodes: [1], shares: [1], gain: 2 },
    );
    expect([value.y, value.weight, value.counts.shifts]).toEqual([0.2, 5, 0]);
    expect(averageRow(shiftMomentsOf([]), '3-4')).toBeNull();
  });
});
