import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { compareOutcomes, describeInsufficient, type OutcomeEstimate } from '../src/compare/compare-outcomes.js';
import { commonRiskDifference } from '../src/compare/mantel-haenszel.js';
import { type OutcomeRow, type OutcomeTable, tabulateOutcomes } from '../src/compare/outcome-table.js';
import { Draws } from './random.js';
import { type SimulatedFleet, simulateOutcomes, trueAdjustedDifference } from './simulate-outcomes.js';

function estimate(table: OutcomeTable): OutcomeEstimate {
  const found = compareOutcomes(table);
  if (found.kind === 'insufficient') throw new Error(describeInsufficient(found));
  return found;
}

/** Berkeley admissions as a fleet: departments are strata, each department's two groups are cut into ten vehicles. */
const berkeley = [
  [512, 313, 89, 19],
  [353, 207, 17, 8],
  [120, 205, 202, 391],
  [138, 279, 131, 244],
  [53, 138, 94, 299],
  [22, 351, 24, 317],
];

function berkeleyRows(): OutcomeRow[] {
  return berkeley.flatMap(([a, b, c, d], stratum) =>
    Array.from({ length: 10 }, (_, vehicle) => vehicle).flatMap((vehicle): OutcomeRow[] => {
      const tenth = (count: number) => Math.floor((count + vehicle) / 10);
      return [
        { stratum, vehicle, revision: 'newer', shifts: tenth(a) + tenth(b), events: tenth(a) },
        { stratum, vehicle, revision: 'older', shifts: tenth(c) + tenth(d), events: tenth(c) },
      ];
    }),
  );
}

describe('comparison of two revisions', () => {
  it('has the published adjusted, unadjusted and standardised differences of the Berkeley admissions', () => {
    // R 4.2.2, reference check values 4.1; how the counts are spread over vehicles does not enter the estimates.
    const found = estimate(tabulateOutcomes(berkeleyRows()));
    expect(found.adjusted.difference).toBeCloseTo(-0.018425196, 9);
    expect(found.unadjusted.difference).toBeCloseTo(0.141645428, 9);
    expect(found.standardised.newerRate).toBeCloseTo(0.387318583, 9);
    expect(found.standardised.olderRate).toBeCloseTo(0.42995538, 8);
    expect(found.standardised.difference).toBeCloseTo(-0.042636798, 8);
    expect(found.overlapShare).toBe(1);
    expect(found.shifts).toBe(4526);
  });

  it('does not depend on the order of rows or on how they are cut', () => {
    const rows = berkeleyRows();
    const whole = estimate(tabulateOutcomes(rows));
    const cut = rows.flatMap((row) => [
      { ...row, shifts: row.shifts - row.events, events: 0 },
      { ...row, shifts: row.events },
    ]);
    const turned = estimate(tabulateOutcomes(cut.reverse()));
    expect(turned.adjusted.difference).toBeCloseTo(whole.adjusted.difference, 12);
    expect(turned.adjusted.standardError).toBeCloseTo(whole.adjusted.standardError, 12);
    expect(turned.standardised.standardError).toBeCloseTo(whole.standardised.standardError, 12);
  });

  it('adjusts over common strata only and states the overlap', () => {
    const rows = berkeleyRows();
    const base = estimate(tabulateOutcomes(rows));
    const found = estimate(
      tabulateOutcomes([
        ...rows,
        ...[0, 1, 2, 3].map(
          (vehicle): OutcomeRow => ({ stratum: 'towing', vehicle, revision: 'newer', shifts: 250, events: 200 }),
        ),
      ]),
    );
    expect(found.adjusted.difference).toBeCloseTo(base.adjusted.difference, 12);
    expect(found.unadjusted.difference).toBeGreaterThan(base.unadjusted.difference);
    expect(found.overlapShare).toBeCloseTo(4526 / 5526, 12);
    expect(found.older.overlapShare).toBe(1);
    expect(found.newer.comparable.shifts).toBe(found.newer.shifts - 1000);
    expect([found.commonStrata, found.strata]).toEqual([6, 7]);
  });

  it('turns around when the revisions change places', () => {
    const rows = berkeleyRows();
    const forth = estimate(tabulateOutcomes(rows));
    const back = estimate(
      tabulateOutcomes(rows.map((row) => ({ ...row, revision: row.revision === 'newer' ? 'older' : 'newer' }))),
    );
    for (const which of ['unadjusted', 'adjusted', 'standardised'] as const) {
      expect(back[which].difference).toBeCloseTo(-forth[which].difference, 12);
      expect(back[which].low).toBeCloseTo(-forth[which].high, 12);
      expect(back[which].probabilityNewerBetter).toBeCloseTo(1 - forth[which].probabilityNewerBetter, 12);
    }
  });

  it('equals the plain Mantel–Haenszel difference and the jackknife over vehicles done the long way', () => {
    const vehicle = fc.integer({ min: 0, max: 7 });
    const row = fc.record({
      stratum: fc.integer({ min: 0, max: 3 }),
      vehicle,
      revision: fc.constantFrom<OutcomeRow['revision']>('older', 'newer'),
      shifts: fc.integer({ min: 5, max: 40 }),
      events: fc.integer({ min: 0, max: 5 }),
    });
    fc.assert(
      fc.property(fc.array(row, { minLength: 40, maxLength: 60 }), (rows) => {
        const found = compareOutcomes(tabulateOutcomes(rows), { minEvents: 1 });
        if (found.kind === 'insufficient') return;
        expect(found.adjusted.difference).toBeCloseTo(plainDifference(rows), 11);
        const cars = [...new Set(rows.map((r) => r.vehicle))];
        const left = cars.map((car) => plainDifference(rows.filter((r) => r.vehicle !== car)));
        const mean = left.reduce((sum, value) => sum + value, 0) / cars.length;
        const squares = left.reduce((sum, value) => sum + (value - mean) ** 2, 0);
        const { degreesOfFreedom, standardError } = found.adjusted;
        expect(degreesOfFreedom).toBeLessThanOrEqual(cars.length - 1 + 1e-9);
        expect(standardError).toBeCloseTo(Math.sqrt((degreesOfFreedom / (degreesOfFreedom + 1)) * squares), 9);
      }),
      { numRuns: 30 },
    );
  });
});

function plainDifference(rows: readonly OutcomeRow[]): number {
  const sum = (stratum: number, revision: string, what: 'shifts' | 'events') =>
    rows.filter((r) => r.stratum === stratum && r.revision === revision).reduce((total, r) => total + r[what], 0);
  return commonRiskDifference(
    [0, 1, 2, 3].map((k) => ({
      newerEvents: sum(k, 'newer', 'events'),
      newerShifts: sum(k, 'newer', 'shifts'),
      olderEvents: sum(k, 'older', 'events'),
      olderShifts: sum(k, 'older', 'shifts'),
    })),
  ).difference;
}

describe('"cannot tell"', () => {
  const cars = (count: number, row: Omit<OutcomeRow, 'vehicle'>): OutcomeRow[] =>
    Array.from({ length: count }, (_, vehicle) => ({ ...row, vehicle }));
  const older = { stratum: 'a', revision: 'older', shifts: 20, events: 2 } as const;
  const newer = { ...older, revision: 'newer' } as const;

  it.each([
    ['nothing was driven alike', [...cars(5, older), ...cars(5, { ...newer, stratum: 'b' })], 'noOverlap'],
    ['one revision has too few shifts', [...cars(5, older), ...cars(5, { ...newer, shifts: 3 })], 'tooFewShifts'],
    ['one revision has too few vehicles', [...cars(5, older), ...cars(2, newer)], 'tooFewVehicles'],
    [
      'hardly anything happened',
      [...cars(5, { ...older, events: 0 }), ...cars(4, { ...newer, events: 1 })],
      'tooFewEvents',
    ],
    ['there is nothing at all', [], 'noOverlap'],
  ] as [string, OutcomeRow[], string][])('is said when %s', (_, rows, reason) => {
    const found = compareOutcomes(tabulateOutcomes(rows));
    expect(found).toMatchObject({ kind: 'insufficient', reason });
    expect(found).not.toHaveProperty('adjusted');
  });

  it('is said when the common driving hangs on one vehicle', () => {
    const rows: OutcomeRow[] = [
      { ...older, vehicle: 1, shifts: 100, events: 10 },
      { ...newer, vehicle: 1, shifts: 100, events: 10 },
      ...cars(5, { ...older, stratum: 'b' }),
      ...cars(5, { ...newer, stratum: 'c' }),
    ];
    const found = compareOutcomes(tabulateOutcomes(rows), { minVehicles: 1 });
    expect(found).toMatchObject({ kind: 'insufficient', reason: 'dependsOnOneVehicle' });
  });

  it('names what was found and needed', () => {
    const found = compareOutcomes(tabulateOutcomes([...cars(3, older), ...cars(1, { ...newer, shifts: 7 })]));
    expect(found.kind === 'insufficient' && describeInsufficient(found)).toBe(
      'too few: 7 of 30 shifts driven alike under both revisions',
    );
  });

  it('is not hidden by few cars with the newer revision: they leave few degrees of freedom', () => {
    const rows = [...cars(24, older), ...cars(3, { ...newer, shifts: 10, events: 1 })];
    const { degreesOfFreedom } = estimate(tabulateOutcomes(rows)).adjusted;
    expect(degreesOfFreedom).toBeGreaterThan(1.9);
    expect(degreesOfFreedom).toBeLessThan(3);
  });

  it('does not make cars that agree to the last count certain', () => {
    const rows = [...cars(5, older), ...cars(5, { ...newer, events: 1 })];
    const { adjusted } = estimate(tabulateOutcomes(rows));
    expect(adjusted.difference).toBeCloseTo(-0.05, 12);
    expect(adjusted.low).toBeLessThan(-0.1);
    expect(adjusted.high).toBeGreaterThan(0);
  });
});

const even = [0.25, 0.25, 0.25, 0.25];

describe('by simulation', { timeout: 60_000 }, () => {
  it.each([
    { vehicles: 24, newerVehicles: 24, shiftsPerVehicle: 100, least: 0.93, most: 0.97 },
    { vehicles: 60, newerVehicles: 60, shiftsPerVehicle: 50, least: 0.93, most: 0.97 },
    { vehicles: 60, newerVehicles: 20, shiftsPerVehicle: 50, least: 0.93, most: 0.97 },
    // With few cars on the newer revision the degrees of freedom are counted low: wide, never short.
    { vehicles: 24, newerVehicles: 12, shiftsPerVehicle: 150, least: 0.94, most: 0.985 },
    { vehicles: 24, newerVehicles: 5, shiftsPerVehicle: 150, least: 0.94, most: 0.995 },
  ])(
    'a nominal 95 % interval covers as it should: $newerVehicles of $vehicles cars have the newer revision',
    ({ least, most, ...fleet }) => {
      const simulated: SimulatedFleet = {
        ...fleet,
        olderRate: [0.02, 0.05, 0.08, 0.12],
        ratio: 0.7,
        olderMix: even,
        newerMix: even,
        carVariance: 0.5,
      };
      const draws = new Draws(77);
      const fleets = 1000;
      let covered = 0;
      for (let i = 0; i < fleets; i += 1) {
        const table = simulateOutcomes(draws, simulated);
        const { low, high } = estimate(table).adjusted;
        const truth = trueAdjustedDifference(table, simulated);
        if (low <= truth && truth <= high) covered += 1;
      }
      expect(covered / fleets).toBeGreaterThanOrEqual(least);
      expect(covered / fleets).toBeLessThanOrEqual(most);
    },
  );

  it('a newer revision driven harder looks worse unadjusted; adjusted, its true improvement is found', () => {
    const simulated: SimulatedFleet = {
      vehicles: 24,
      newerVehicles: 24,
      shiftsPerVehicle: 200,
      olderRate: [0.02, 0.05, 0.1, 0.18],
      ratio: 0.7,
      olderMix: [0.4, 0.3, 0.2, 0.1],
      newerMix: [0.1, 0.2, 0.3, 0.4],
      carVariance: 0.3,
    };
    const draws = new Draws(5);
    const fleets = 300;
    const counts = { unadjustedWorse: 0, adjustedBetter: 0, standardisedBetter: 0, proven: 0, covered: 0 };
    for (let i = 0; i < fleets; i += 1) {
      const table = simulateOutcomes(draws, simulated);
      const { unadjusted, adjusted, standardised } = estimate(table);
      const truth = trueAdjustedDifference(table, simulated);
      if (unadjusted.difference > 0) counts.unadjustedWorse += 1;
      if (adjusted.difference < 0) counts.adjustedBetter += 1;
      if (standardised.difference < 0) counts.standardisedBetter += 1;
      if (adjusted.probabilityNewerBetter > 0.975) counts.proven += 1;
      if (adjusted.low <= truth && truth <= adjusted.high) counts.covered += 1;
    }
    expect(counts.unadjustedWorse / fleets).toBeGreaterThan(0.95);
    expect(counts.adjustedBetter / fleets).toBeGreaterThan(0.98);
    expect(counts.standardisedBetter / fleets).toBeGreaterThan(0.98);
    expect(counts.proven / fleets).toBeGreaterThan(0.9);
    expect(counts.covered / fleets).toBeGreaterThanOrEqual(0.92);
    expect(counts.covered / fleets).toBeLessThanOrEqual(0.98);
  });
});
