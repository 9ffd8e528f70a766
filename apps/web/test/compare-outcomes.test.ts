import type { CompareDetailResponse, CompareOutcomesResponse, Effect, OutcomeMeasure } from '@syncline/contract';
import { describe, expect, it } from 'vitest';
import { conclude } from '../src/pages/compare/conclusion.js';
import { betterWords } from '../src/pages/compare/effect-words.js';
import { forestReach, markSide, splitVehicles } from '../src/pages/compare/forest-row.js';
import { relativeEffect, relativeReach } from '../src/pages/compare/spread-scale.js';

const estimate = (difference: number, low: number, high: number, probabilityBetter = 0.5): Effect => ({
  kind: 'estimate',
  difference,
  low,
  high,
  probabilityBetter,
  vehicles: 12,
  shifts: 900,
});
const cannotTell: Effect = { kind: 'insufficient', reason: 'noOverlap', vehicles: 4, shifts: 80 };
const tooFew = {
  kind: 'insufficient',
  events: 0,
  shifts: 0,
  vehicles: 0,
  neededShifts: 30,
  neededVehicles: 3,
} as const;

function compared(effects: Partial<Record<OutcomeMeasure, { adjusted: Effect; unadjusted?: Effect }>>) {
  const measures = (['flare', 'tie-up', 'harsh', 'slow'] as const).map(
    (measure): CompareOutcomesResponse['measures'][number] => {
      const { adjusted = cannotTell, unadjusted } = effects[measure] ?? {};
      return { measure, baseRate: tooFew, otherRate: tooFew, adjusted, unadjusted: unadjusted ?? adjusted };
    },
  );
  const labels = { base: 'Shore r1', other: 'Shore r3' };
  return (overlap = 1) => conclude({ measures, overlap, labels, measure: 'flare' });
}

describe('what may be concluded', () => {
  it.each([
    [
      'less often',
      estimate(-0.034, -0.051, -0.016, 0.999),
      'Driven alike, Shore r3 flares less often than Shore r1, by 3.4\u202fpp (−5.1 to −1.6\u202fpp)',
    ],
    [
      'more often',
      estimate(0.02, 0.005, 0.035, 0.004),
      'Driven alike, Shore r3 flares more often than Shore r1, by 2.0\u202fpp (+0.5 to +3.5\u202fpp)',
    ],
  ])('an interval apart from 0 says that it happens %s', (_words, adjusted, begin) => {
    expect(compared({ flare: { adjusted } })().may).toContain(begin);
  });

  it('an interval around 0 leaves it open and is no proof of equality', () => {
    const { may } = compared({ flare: { adjusted: estimate(-0.002, -0.02, 0.016, 0.58) } })();
    expect(may).toContain('it is open whether');
    expect(may).toContain('−2.0\u202fpp to +1.6\u202fpp');
    expect(may).toContain('no proof that both are alike');
    expect(may).not.toContain('leans');
  });

  it.each([
    [0.94, 'leans towards less'],
    [0.06, 'leans towards more'],
  ])('with a probability of %d it %s', (probability, words) => {
    expect(compared({ flare: { adjusted: estimate(0, -0.02, 0.02, probability) } })().may).toContain(words);
  });

  it('says why nothing can be told, and that the plain difference may come from other driving', () => {
    const { may, mayNot } = compared({ flare: { adjusted: cannotTell, unadjusted: estimate(-0.05, -0.08, -0.02) } })();
    expect(may).toContain('cannot be told: nothing was driven alike under both (80\u00a0shifts, 4\u00a0cars)');
    expect(mayNot[0]).toBe(
      'As driven the difference is −5.0\u202fpp; that may come from other driving and other cars alone.',
    );
  });

  it.each([
    ['lies outside the adjusted interval', estimate(-0.09, -0.12, -0.06), true],
    ['has the other sign', estimate(0.01, 0, 0.02), true],
    ['agrees', estimate(-0.03, -0.05, -0.01), false],
  ])('warns where the plain difference misleads: it %s', (_words, unadjusted, isWarned) => {
    const { mayNot } = compared({ flare: { adjusted: estimate(-0.034, -0.051, -0.016), unadjusted } })();
    expect(mayNot.some((words) => words.includes('comes from other driving'))).toBe(isWarned);
  });

  it.each([
    [1, undefined],
    [0.82, 'It holds where both were driven, 82\u202f% of the shifts; elsewhere nothing is known.'],
    [0.31, 'It holds where both were driven, 31\u202f% of the shifts: less than half. Elsewhere nothing is known.'],
  ])('with an overlap of %d limits what it says', (overlap, words) => {
    const { mayNot } = compared({ flare: { adjusted: estimate(-0.034, -0.051, -0.016) } })(overlap);
    expect(mayNot.find((entry) => entry.startsWith('It holds'))).toBe(words);
  });

  it('names another measure that became worse', () => {
    const { mayNot } = compared({
      flare: { adjusted: estimate(-0.034, -0.051, -0.016) },
      harsh: { adjusted: estimate(0.021, 0.004, 0.038) },
      slow: { adjusted: estimate(0.01, -0.01, 0.03) },
    })();
    expect(mayNot).toContain('On the other hand Shore r3 shifts harshly more often, by 2.1\u202fpp.');
    expect(mayNot.join()).not.toContain('slowly');
  });
});

describe('a probability in words', () => {
  it.each([
    [0.995, 'almost surely'],
    [0.93, 'very likely'],
    [0.8, 'likely'],
    [0.5, 'as well as not'],
    [0.2, 'hardly'],
    [0.05, 'very unlikely'],
    [0.001, 'almost surely not'],
  ])('%d is %s', (probability, words) => {
    expect(betterWords(probability)).toBe(words);
  });
});

describe('the forest', () => {
  type Vehicle = CompareDetailResponse['byVehicle'][number];
  const aVehicle = (vehicleId: string, difference: Vehicle['difference'], weight = 0.5): Vehicle => ({
    vehicleId,
    title: vehicleId,
    baseEvents: 1,
    baseShifts: 20,
    otherEvents: 0,
    otherShifts: 20,
    difference,
    weight,
  });
  const vehicles = [
    aVehicle('rise', { difference: 0.04, low: -0.6, high: 0.7 }),
    aVehicle('alone', null, 0),
    aVehicle('fall', { difference: -0.08, low: -0.1, high: -0.06 }),
  ];

  it('orders cars from the largest fall to the largest rise and keeps those without overlap apart', () => {
    const { matched, unmatched } = splitVehicles(vehicles);
    expect(matched.map(({ vehicleId }) => vehicleId)).toEqual(['fall', 'rise']);
    expect(unmatched.map(({ vehicleId }) => vehicleId)).toEqual(['alone']);
  });

  it('has a scale that holds every point and the pooled interval, not the widest interval of a car', () => {
    const { matched } = splitVehicles(vehicles);
    expect(forestReach(matched, { low: -0.05, high: 0.01 })).toBe(0.1);
    expect(forestReach(matched, { low: -0.15, high: 0.01 })).toBe(0.2);
  });

  it('draws marks whose area grows with the weight', () => {
    const [none, quarter, full] = [0, 0.25, 1].map((weight) => markSide(weight, 1)) as [number, number, number];
    // A quarter of the weight is half the side beyond the smallest mark.
    expect(quarter - none).toBeCloseTo((full - none) / 2, 12);
    expect(markSide(0, 0)).toBe(none);
  });
});

describe('differences of measured quantities', () => {
  const row = (baseMean: number | null, adjusted: Effect) => ({
    measure: 'delayS',
    baseMean,
    otherMean: 0.4,
    baseShifts: 40,
    otherShifts: 50,
    adjusted,
  });

  it('share a scale as shares of the mean of the base', () => {
    expect(relativeEffect(row(0.5, estimate(-0.05, -0.1, 0)))).toEqual({ difference: -0.1, low: -0.2, high: 0 });
    expect(relativeReach([row(0.5, estimate(-0.05, -0.1, 0)), row(0.5, cannotTell)])).toBe(0.2);
  });

  it.each([
    [null, estimate(0, 0, 0)],
    [0, estimate(0, 0, 0)],
    [0.5, cannotTell],
  ])('have no share of a mean of %s', (baseMean, adjusted) => {
    expect(relativeEffect(row(baseMean, adjusted))).toBeNull();
  });
});
