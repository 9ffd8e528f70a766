import { DEFAULT_POLICY, type Grade, type Shift } from '@syncline/shifts';
import { NO_OUTCOMES, type OutcomeCounts, type StoredShift } from '@syncline/store';
import { describe, expect, it } from 'vitest';
import { compareDrive, type SourceStratum, type Stratum } from '../src/services/report/compare-drive.js';
import { chooseWishes } from '../src/services/report/driving-wishes.js';
import { rankShifts } from '../src/services/report/worst-shifts.js';

function aShift(id: string, grades: Grade[], measures: Partial<Shift['measures']>, commandS = 10): StoredShift {
  const none = { flareRpm: 0, flareMs: 0, tieUpDepth: null, peakJerk: null, inertiaTimeS: null };
  const shift = { kind: '2-3', commandS, at: { load: 50 }, measures: { ...none, ...measures } };
  return { id, grades, program: null, shift } as unknown as StoredShift;
}

describe('the worst shifts of a drive', () => {
  const ids = (shifts: StoredShift[]) => rankShifts(shifts, DEFAULT_POLICY, 3).map(({ stored }) => stored.id);

  it('are those furthest beyond their limits, whatever the measure', () => {
    // Limits at half load: 60 rpm, 0.8 m/s², 26 m/s³ (default policy).
    const shifts = [
      aShift('flare, 2 times', ['flare'], { flareRpm: 120, flareMs: 90 }),
      aShift('tie-up, 3 times', ['tie-up'], { tieUpDepth: 2.4 }),
      aShift('harsh, 1.5 times', ['harsh'], { peakJerk: 39 }),
      aShift('clean', ['clean'], { peakJerk: 25 }),
    ];
    expect(ids(shifts)).toEqual(['tie-up, 3 times', 'flare, 2 times', 'harsh, 1.5 times']);
    expect(rankShifts(shifts, DEFAULT_POLICY, 1)[0]).toMatchObject({
      isBeyond: true,
      departures: [{ measure: 'tie-up', value: 2.4, limit: 0.8, unit: 'm/s²' }, { measure: 'flare' }],
    });
  });

  it('begin with those that never reached the new gear', () => {
    expect(
      ids([aShift('flare', ['flare'], { flareRpm: 600, flareMs: 300 }), aShift('never', ['incomplete'], {})]),
    ).toEqual(['never', 'flare']);
  });

  it('do not count a flare that was over too soon to be graded above one that was graded', () => {
    const short = aShift('short', ['clean'], { flareRpm: 200, flareMs: 20 });
    const graded = aShift('graded', ['flare'], { flareRpm: 61, flareMs: 60 });
    expect(rankShifts([short, graded], DEFAULT_POLICY, 3).map(({ stored, isBeyond }) => [stored.id, isBeyond])).toEqual(
      [
        ['graded', true],
        ['short', false],
      ],
    );
  });

  it('that are as bad as each other stand in the order of the drive', () => {
    const late = aShift('late', ['flare'], { flareRpm: 90, flareMs: 60 }, 20);
    const early = aShift('early', ['flare'], { flareRpm: 90, flareMs: 60 }, 5);
    expect(ids([late, early])).toEqual(['early', 'late']);
  });
});

function counts(shifts: number, flare: number): OutcomeCounts {
  return { ...NO_OUTCOMES, shifts, flare, flareMeasured: shifts };
}

function stratum(loadBand: number, of: OutcomeCounts): Stratum {
  return { ...of, kind: '2-3', loadBand, fluidTemperatureBand: 2, program: 'calm' };
}

const source = (name: string, loadBand: number, of: OutcomeCounts): SourceStratum => ({
  ...stratum(loadBand, of),
  source: name,
});

describe('a drive against others', () => {
  const own = { subject: 'sameRevision', revisionLabels: [], minSources: 2, minShifts: 10 } as const;
  const fleet = { subject: 'fleetRevision', revisionLabels: ['Shore r1'], minSources: 3, minShifts: 30 } as const;

  it('is compared only where both were driven', () => {
    const now = [stratum(1, counts(20, 10)), stratum(5, counts(8, 8))];
    const then = [source('a', 1, counts(30, 3)), source('b', 1, counts(30, 3)), source('b', 3, counts(90, 90))];
    const compared = compareDrive(now, then, own);
    if (compared.kind !== 'compared') throw new Error('expected a comparison');
    expect(compared).toMatchObject({ sources: 2, shiftsNow: 20, shiftsOthers: 60 });
    const flare = compared.rows.find(({ measure }) => measure === 'flare')!;
    expect(flare.now).toMatchObject({ events: 10, shifts: 20, rate: 0.5 });
    expect(flare.others).toMatchObject({ events: 6, shifts: 60, rate: 0.1, vehicles: 2 });
  });

  it('is told how many events the others’ rates would have given it, point by point', () => {
    const now = [stratum(1, counts(20, 1)), stratum(2, counts(10, 1))];
    const then = [
      ...['a', 'b'].map((name) => source(name, 1, counts(50, 5))),
      ...['a', 'b'].map((name) => source(name, 2, counts(10, 5))),
    ];
    const compared = compareDrive(now, then, own);
    if (compared.kind !== 'compared') throw new Error('expected a comparison');
    // 20 × 10 % + 10 × 50 %, by hand.
    expect(compared.rows[0]).toMatchObject({ measure: 'flare', expected: 7 });
  });

  it('is called apart only where the intervals do not meet', () => {
    const then = ['a', 'b', 'c'].map((name) => source(name, 1, counts(300, 3)));
    const verdict = (flares: number) => {
      const compared = compareDrive([stratum(1, counts(40, flares))], then, fleet);
      return compared.kind === 'compared' ? compared.rows[0]?.verdict : compared.kind;
    };
    expect([verdict(30), verdict(1)]).toEqual(['higher', 'notTold']);
  });

  it.each([
    [2, 'tooFew'],
    [3, 'compared'],
  ])('shows nothing of %i other cars unless they are three: %s', (cars, kind) => {
    const then = Array.from({ length: cars }, (_, car) => source(`car ${car}`, 1, counts(40, 2)));
    const answer = compareDrive([stratum(1, counts(20, 2))], then, fleet);
    expect(answer).toMatchObject({ kind, ...(kind === 'tooFew' && { reason: 'tooFewCars', found: 2, needed: 3 }) });
  });

  it('hides a measure that fewer than three other cars could tell', () => {
    const silent = { ...NO_OUTCOMES, shifts: 40 };
    const then = [source('a', 1, counts(40, 2)), source('b', 1, silent), source('c', 1, silent)];
    const answer = compareDrive([stratum(1, counts(20, 2))], then, fleet);
    expect(answer).toMatchObject({
      kind: 'compared',
      rows: expect.arrayContaining([
        expect.objectContaining({ measure: 'flare', others: null, expected: null, verdict: 'notTold' }),
      ]),
    });
  });

  it.each([
    ['noSource', []],
    ['noCommonPoint', [source('a', 4, counts(40, 2))]],
  ])('says why there is no comparison: %s', (reason, then) => {
    expect(compareDrive([stratum(1, counts(20, 2))], then, own)).toMatchObject({ kind: 'tooFew', reason });
  });
});

describe('what to drive next', () => {
  const needed = { shifts: 30, vehicles: 3 };
  const gap = (kind: string, loadBand: number, fluidTemperatureBand: number, shifts = 0, vehicles = 0) => ({
    kind,
    loadBand,
    fluidTemperatureBand,
    shifts,
    vehicles,
  });
  const drove = (kind: string, loadBand: number, fluidTemperatureBand: number, shifts = 10) => ({
    kind,
    loadBand,
    fluidTemperatureBand,
    shifts,
  });

  const drivenNow = (...points: ReturnType<typeof drove>[]) => ({ counted: points, ever: points });

  it('counts only driving under the same revision towards a gap, and any towards reach', () => {
    const own = { counted: [], ever: [drove('2-3', 3, 2)] };
    expect(chooseWishes([gap('2-3', 3, 2)], own, needed)).toEqual([{ ...gap('2-3', 3, 2), ownShifts: 0, ask: 10 }]);
  });

  it('never asks for the hottest fluid', () => {
    expect(chooseWishes([gap('2-3', 3, 4)], drivenNow(drove('2-3', 3, 3), drove('2-3', 3, 4)), needed)).toEqual([]);
  });

  it('is asked for only beside what the car has driven', () => {
    const gaps = [gap('2-3', 3, 2), gap('2-3', 5, 2), gap('3-4', 3, 2)];
    expect(chooseWishes(gaps, drivenNow(drove('2-3', 2, 2)), needed)).toEqual([
      { ...gap('2-3', 3, 2), ownShifts: 0, ask: 10 },
    ]);
  });

  it('is this car’s share of what is missing, twelve times at most', () => {
    const own = drivenNow(drove('2-3', 3, 2, 5));
    const ask = (shifts: number, vehicles: number) =>
      chooseWishes([gap('2-3', 3, 2, shifts, vehicles)], own, needed)[0]?.ask;
    // Alone so far, 25 missing among three cars; with two others there, all 5 missing are asked of it.
    expect([ask(5, 1), ask(25, 3), ask(12, 3)]).toEqual([9, 5, 12]);
  });

  it('asks nothing of a car where only others can help', () => {
    expect(chooseWishes([gap('2-3', 3, 2, 40, 2)], drivenNow(drove('2-3', 3, 2, 20)), needed)).toEqual([]);
    expect(chooseWishes([gap('2-3', 3, 2, 40, 2)], drivenNow(drove('2-3', 2, 2, 20)), needed)).toMatchObject([
      { ask: 1 },
    ]);
  });

  it('is short and not all of one kind', () => {
    const kinds = ['1-2', '2-3', '3-4', '4-5', '5-6'];
    const gaps = kinds.flatMap((kind) => [1, 2, 3].map((band) => gap(kind, band, 2)));
    const wishes = chooseWishes(gaps, drivenNow(...kinds.map((kind) => drove(kind, 2, 2))), needed);
    expect(wishes).toHaveLength(6);
    for (const kind of kinds) expect(wishes.filter((wish) => wish.kind === kind).length).toBeLessThanOrEqual(2);
  });
});
