import type { SignalBatch } from '@syncline/drivelog';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createShiftFinder, type FoundEvents, type SampleFindings } from '../src/index.js';
import { buildDrive, CAR, PLATFORM, type PlannedShift, slice, uniform } from './drive-builder.js';

/** A drive with everything in it: flares, hunting, a retarget, a gap, repeats, steps back, lock-up, missing values. */
function eventfulDrive(): SignalBatch {
  const shifts: PlannedShift[] = [
    { commandS: 4, from: 2, to: 3, flareRpm: 150 },
    { commandS: 8, from: 3, to: 4 },
    { commandS: 10.5, from: 4, to: 3 },
    { commandS: 16, from: 3, to: 5, changeS: 1.1 },
    { commandS: 24, from: 5, to: 6 },
    { commandS: 31, from: 6, to: 4 },
    { commandS: 38.6, from: 4, to: 5 },
  ];
  const random = uniform(11);
  let timeS = 0;
  let isBeforeGap = true;
  const times = Array.from({ length: 3800 }, (_, i) => {
    const step = random();
    if (step > 0.01) timeS += 0.004 + 0.012 * random();
    if (isBeforeGap && timeS > 31.5) {
      isBeforeGap = false;
      timeS += 3;
    }
    if (i === 1400) timeS -= 0.5;
    if (i === 3500) timeS -= 6;
    return timeS;
  });
  const batch = buildDrive({
    durationS: 40,
    rateHz: 100,
    startGear: 2,
    shifts,
    times,
    noiseRpm: { input: 8, output: 3 },
    signals: {
      converterDuty: (t) => (t % 13 < 9 ? 20 + 5 * (t % 13) : 0),
      valveOn: (t) => (shifts.some(({ commandS }) => t > commandS && t < commandS + 1.5) ? 1 : 0),
      gearTarget: (t) => (t > 20 && t < 20.4 ? 6 : (shifts.findLast(({ commandS }) => t >= commandS)?.to ?? 2)),
    },
  });
  for (let i = 0; i < times.length; i += 53) (batch.signals.inputSpeed as Float64Array)[i] = Number.NaN;
  return batch;
}

function runSplit(batch: SignalBatch, cuts: readonly number[]): FoundEvents & { findings: SampleFindings } {
  const finder = createShiftFinder({ platform: PLATFORM, car: CAR });
  const found: FoundEvents = { shifts: [], lockUps: [] };
  const bounds = [0, ...cuts, batch.timeS.length];
  for (let i = 1; i < bounds.length; i++) {
    const part = finder.push(slice(batch, bounds[i - 1] as number, bounds[i] as number));
    found.shifts.push(...part.shifts);
    found.lockUps.push(...part.lockUps);
  }
  const rest = finder.end();
  return {
    shifts: [...found.shifts, ...rest.shifts],
    lockUps: [...found.lockUps, ...rest.lockUps],
    findings: finder.findings(),
  };
}

describe('the split into batches', () => {
  const batch = eventfulDrive();
  const whole = runSplit(batch, []);

  it('meets a drive with events of every kind', () => {
    expect(whole.shifts.length).toBeGreaterThanOrEqual(6);
    expect(whole.shifts.some((shift) => shift.outcome === 'cut')).toBe(true);
    expect(whole.shifts.some((shift) => shift.isHunting)).toBe(true);
    expect(whole.lockUps.length).toBeGreaterThanOrEqual(3);
    expect(whole.findings).toMatchObject({ gaps: 1, stepsBack: 2 });
    expect(whole.findings.repeatedTimes).toBeGreaterThan(10);
  });

  it('changes nothing, one sample per batch', () => {
    expect(
      runSplit(
        batch,
        Array.from({ length: batch.timeS.length - 1 }, (_, i) => i + 1),
      ),
    ).toEqual(whole);
  });

  it('changes nothing, wherever the cuts are', () => {
    const anyCuts = fc.uniqueArray(fc.integer({ min: 1, max: batch.timeS.length - 1 }), { maxLength: 40 });
    fc.assert(
      fc.property(anyCuts, (cuts) => {
        expect(
          runSplit(
            batch,
            cuts.sort((a, b) => a - b),
          ),
        ).toEqual(whole);
      }),
      { numRuns: 40 },
    );
  });

  it('changes nothing in a log longer than what is kept at hand', () => {
    const random = uniform(2);
    const shifts: PlannedShift[] = [];
    let gear = 3;
    for (let commandS = 5; commandS < 390; commandS += 9) {
      const to = gear === 6 ? 5 : gear === 2 ? 3 : gear + (random() < 0.5 ? -1 : 1);
      shifts.push({ commandS, from: gear, to });
      gear = to;
    }
    const long = buildDrive({ durationS: 400, rateHz: 100, startGear: 3, shifts, noiseRpm: { input: 6, output: 3 } });
    const inOne = runSplit(long, []);
    expect(inOne.shifts.map((shift) => shift.kind)).toEqual(shifts.map(({ from, to }) => `${from}-${to}`));
    expect(
      runSplit(
        long,
        Array.from({ length: 130 }, (_, i) => 301 * (i + 1)),
      ),
    ).toEqual(inOne);
  });
});
