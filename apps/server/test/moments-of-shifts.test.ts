import { encodeShiftMoments, mergeShiftMoments, subtractShiftMoments } from '@syncline/fleet';
import { DEFAULT_POLICY, type Shift } from '@syncline/shifts';
import type { EvidenceShift } from '@syncline/store';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { subjectDesign, subjectsOf } from '../src/services/proposals/subjects.js';
import { type CarEvidence, sumsOfShifts } from '../src/workers/proposals/moments-of-shifts.js';
import { contentWith, LAYOUT, PLATFORM } from './support/club.js';

const [subject] = subjectsOf(LAYOUT);
const design = subjectDesign(LAYOUT, contentWith(300), subject);
const context = { platform: PLATFORM, subject, design, policyOf: () => DEFAULT_POLICY };

const shift = fc
  .record({
    kind: fc.constantFrom('1-2', '2-3', '3-2'),
    load: fc.option(fc.double({ min: 0, max: 120, noNaN: true })),
    inputSpeedRpm: fc.double({ min: 600, max: 4000, noNaN: true }),
    demandRatio: fc.option(fc.double({ min: -0.5, max: 0.5, noNaN: true })),
    demandWeight: fc.double({ min: 0, max: 1, noNaN: true }),
    isFlare: fc.boolean(),
    /** What was applied while the clutch slipped, where it was logged. */
    applied: fc.option(
      fc.record({ startKpa: fc.integer({ min: 70, max: 600 }), riseKpa: fc.integer({ min: 0, max: 90 }) }),
    ),
    program: fc.option(fc.constantFrom('calm', 'brisk')),
    drivenAtMs: fc.integer({ min: 0, max: 1000 }),
  })
  .map(
    ({
      kind,
      load,
      inputSpeedRpm,
      demandRatio,
      demandWeight,
      isFlare,
      applied,
      program,
      drivenAtMs,
    }): EvidenceShift => {
      const [from, to] = kind.split('-').map(Number);
      const at = {
        load,
        inputTorqueNm: 100,
        engineSpeedRpm: inputSpeedRpm,
        inputSpeedRpm,
        outputSpeedRpm: inputSpeedRpm / 2,
        fluidTemperatureC: 80,
        pedal: null,
        programCode: null,
        applyPressureKpa: null,
        supplyVoltageV: null,
      };
      const measures = {
        appliedStartKpa: applied?.startKpa ?? null,
        appliedMeanKpa: applied === null ? null : applied.startKpa + applied.riseKpa,
        actualTimeS: applied === null ? null : 0.6,
      };
      return {
        // What moments do not look at is left out.
        shift: { kind, from, to, at, measures } as unknown as Shift,
        grades: isFlare ? ['flare'] : ['clean'],
        program,
        bands: { load: 0, speed: 0, temperature: 0 },
        demandRatio,
        demandWeight: demandRatio === null ? null : demandWeight,
        drivenAtMs,
        analysisVersion: 1,
        policyVersion: 1,
      };
    },
  );

const log = fc.array(shift, { maxLength: 12 });
const of = (shifts: readonly EvidenceShift[], adaptations: CarEvidence['adaptations'] = []) =>
  sumsOfShifts({ shifts, adaptations }, context).moments;

describe('moments of a car’s shifts', () => {
  it('are the same to the byte whatever the order of the logs', () => {
    fc.assert(
      fc.property(log, log, log, (a, b, c) => {
        expect(encodeShiftMoments(of([...a, ...b, ...c]))).toEqual(encodeShiftMoments(of([...c, ...a, ...b])));
      }),
      { numRuns: 60 },
    );
  });

  it('lose a log without a trace: added and taken out again they are those of before', () => {
    fc.assert(
      fc.property(log, log, (kept, gone) => {
        const whole = mergeShiftMoments(of(kept), of(gone));
        expect(encodeShiftMoments(whole)).toEqual(encodeShiftMoments(of([...kept, ...gone])));
        expect(encodeShiftMoments(subtractShiftMoments(whole, of(gone)))).toEqual(encodeShiftMoments(of(kept)));
      }),
      { numRuns: 60 },
    );
  });

  it('read shifts that were driven after learning with what was learnt, and earlier ones without', () => {
    const one = (drivenAtMs: number): EvidenceShift => {
      const [made] = fc.sample(shift, { numRuns: 1, seed: 7 });
      const at = { ...made.shift.at, load: 50, inputSpeedRpm: 2000 };
      return {
        ...made,
        shift: { ...made.shift, kind: '2-3', from: 2, to: 3, at },
        program: 'calm',
        demandRatio: 0,
        demandWeight: 1,
        drivenAtMs,
      };
    };
    const reading = {
      id: 'a',
      vehicleId: 'v',
      revision: { id: 'r', calibrationTitle: '', number: 1 },
      readAtMs: 500,
      note: '',
      byName: '',
      createdAtMs: 0,
      worthShifts: 4,
      values: [{ clutch: 'C', percent: 10 }],
    };
    const response = (shifts: readonly EvidenceShift[]) => of(shifts, [reading]).get('2-3')?.response ?? 0;
    // The reading itself counts as four shifts; the later shift meets its target only with the 10 % on top.
    expect(response([one(100)])).toBeCloseTo(4 * Math.log(1.1), 2);
    expect(response([one(900)])).toBeCloseTo(5 * Math.log(1.1), 2);
  });
});
