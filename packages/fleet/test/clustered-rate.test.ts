import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { bootstrapRate } from '../src/rates/cluster-bootstrap.js';
import { clusteredRate } from '../src/rates/clustered-rate.js';
import { clusterVariance, designEffect, kishDesignEffect } from '../src/rates/design-effect.js';
import { describeTooFew, findShortfall } from '../src/rates/evidence.js';
import { shrunkenRates } from '../src/rates/shrunken-rates.js';
import { wilsonInterval } from '../src/rates/wilson-interval.js';
import { normalCritical } from '../src/special/normal.js';
import { Draws } from './random.js';

/** Reference check values 4.2: R sandwich 4.2.2 and closed forms. */
const eight = { events: [2, 0, 9, 1, 3, 2, 0, 1], trials: [12, 5, 20, 8, 15, 3, 10, 7] };
/** Second source, 6: statsmodels, survey, clubSandwich and enumeration. */
const seven = { events: [3, 4, 5, 3, 21, 2, 0], trials: [40, 12, 95, 7, 60, 33, 18] };

describe('variance of a rate by vehicle', () => {
  it('is that of R sandwich for eight vehicles', () => {
    const found = clusterVariance(eight);
    expect(found.rate).toBe(0.225);
    expect(Math.sqrt(found.binomialVariance)).toBeCloseTo(0.0466871235, 9);
    expect(Math.sqrt(found.ratioVariance)).toBeCloseTo(0.0731131706, 9);
    expect(found.intraclassCorrelation).toBeCloseTo(0.117791451, 8);
    expect(kishDesignEffect(found.meanClusterSize, found.intraclassCorrelation)).toBeCloseTo(2.378159976, 8);
    expect(found.ratioVariance / found.binomialVariance).toBeCloseTo(2.452432156, 8);
  });

  it('is that of the survey package and the closed-form jackknife for seven vehicles', () => {
    const found = clusterVariance(seven);
    expect(Math.sqrt(found.ratioVariance)).toBeCloseTo(0.06557163867135664, 12);
    expect(Math.sqrt(found.jackknifeVariance)).toBeCloseTo(0.07610370253799359, 12);
    expect(found.intraclassCorrelation).toBeCloseTo(0.17073458838793093, 12);
    expect(kishDesignEffect(found.meanClusterSize, found.intraclassCorrelation)).toBeCloseTo(11.0288852938, 9);
  });

  it("gives Wilson's interval on the effective counts as published", () => {
    const { ratioVariance, binomialVariance, events, trials } = clusterVariance(seven);
    const effect = ratioVariance / binomialVariance;
    expect(effect).toBeCloseTo(9.275989366650771, 10);
    const interval = wilsonInterval({ events: events / effect, trials: trials / effect, z: normalCritical(0.95) });
    expect(interval.low).toBeCloseTo(0.05781324104090854, 10);
    expect(interval.high).toBeCloseTo(0.3135139525791396, 10);
  });

  it('passes over vehicles without shifts', () => {
    const padded = { events: [...eight.events, 0], trials: [...eight.trials, 0] };
    expect(clusterVariance(padded)).toEqual(clusterVariance(eight));
  });

  it('takes the larger of two design effects and never less than 1', () => {
    const found = clusterVariance(seven);
    expect(designEffect(found, 0.05)).toBeCloseTo(found.jackknifeVariance / found.binomialVariance, 12);
    const even = clusterVariance({ events: [5, 5, 5, 5], trials: [20, 20, 20, 20] });
    expect(designEffect(even, 0.05)).toBe(1);
  });

  it('falls back on the assumed correlation where no shift was an event', () => {
    const none = clusterVariance({ events: [0, 0, 0], trials: [20, 20, 20] });
    expect(designEffect(none, 0.05)).toBeCloseTo(1 + 19 * 0.05, 12);
  });
});

describe('rate over a fleet', () => {
  it('says how few there are instead of a rate', () => {
    const found = clusteredRate({ events: [1, 0, 2], trials: [3, 2, 2] });
    expect(found).toMatchObject({ kind: 'insufficient', reason: 'tooFewShifts', shifts: 7, neededShifts: 30 });
    expect(found.kind === 'insufficient' && describeTooFew(found)).toBe('too few: 7 of 30 shifts');
  });

  it('asks for more vehicles when one or two cars did all the driving', () => {
    const found = clusteredRate({ events: [10, 10], trials: [200, 300] });
    expect(found.kind === 'insufficient' && describeTooFew(found)).toBe('too few: 2 of 3 vehicles');
  });

  it('keeps its thresholds as options and passes them at exactly their value', () => {
    expect(findShortfall({ shifts: 30, vehicles: 3 }, { minShifts: 30, minVehicles: 3 })).toBeNull();
    expect(clusteredRate({ events: [1, 1], trials: [5, 5] }, { minShifts: 10, minVehicles: 2 }).kind).toBe('estimate');
  });

  it('is wider than the plain binomial and mirrors when events and non-events change places', () => {
    const fleet = fc.array(
      fc.integer({ min: 1, max: 60 }).chain((n) => fc.tuple(fc.constant(n), fc.integer({ min: 0, max: n }))),
      { minLength: 3, maxLength: 30 },
    );
    fc.assert(
      fc.property(fleet, (vehicles) => {
        const trials = vehicles.map(([n]) => n);
        const events = vehicles.map(([, x]) => x);
        const options = { minShifts: 1 };
        const one = clusteredRate({ events, trials }, options);
        const mirrored = clusteredRate({ events: events.map((x, j) => trials[j] - x), trials }, options);
        if (one.kind !== 'estimate' || mirrored.kind !== 'estimate') throw new Error('expected estimates');
        const plain = wilsonInterval({ events: one.events, trials: one.shifts, z: normalCritical(0.95) });
        expect(one.low).toBeCloseTo(1 - mirrored.high, 9);
        expect(one.low).toBeLessThanOrEqual(plain.low + 1e-12);
        expect(one.high).toBeGreaterThanOrEqual(plain.high - 1e-12);
        expect(one.low).toBeLessThanOrEqual(one.rate);
        expect(one.high).toBeGreaterThanOrEqual(one.rate);
      }),
    );
  });
});

/** Unequal mileage (coefficient of variation 0.6), vehicles that differ by a beta distribution. */
function simulateFleet(draws: Draws, vehicles: number, meanShifts: number, rate: number, correlation: number) {
  const trials: number[] = [];
  const events: number[] = [];
  for (let j = 0; j < vehicles; j += 1) {
    const n = Math.max(1, Math.round(meanShifts * draws.gammaOfMeanOne(0.36)));
    trials.push(n);
    events.push(draws.binomial(n, draws.beta(rate, correlation)));
  }
  return { events, trials };
}

describe('coverage by simulation, 2,000 fleets each', { timeout: 60_000 }, () => {
  it.each([
    { vehicles: 12, meanShifts: 40, rate: 0.05, correlation: 0.05 },
    { vehicles: 24, meanShifts: 40, rate: 0.05, correlation: 0.05 },
    { vehicles: 24, meanShifts: 40, rate: 0.15, correlation: 0.1 },
    { vehicles: 24, meanShifts: 150, rate: 0.05, correlation: 0.05 },
    { vehicles: 60, meanShifts: 40, rate: 0.05, correlation: 0.05 },
  ])(
    'a nominal 95 % interval covers 93 to 97 %, the plain binomial below 80 %: $vehicles cars of $meanShifts shifts',
    ({ vehicles, meanShifts, rate, correlation }) => {
      const draws = new Draws(20_240_229);
      const fleets = 2000;
      const z = normalCritical(0.95);
      let covered = 0;
      let coveredByBinomial = 0;
      for (let fleet = 0; fleet < fleets; fleet += 1) {
        const found = clusteredRate(simulateFleet(draws, vehicles, meanShifts, rate, correlation), { minShifts: 1 });
        if (found.kind !== 'estimate') throw new Error('expected an estimate');
        const plain = wilsonInterval({ events: found.events, trials: found.shifts, z });
        if (found.low <= rate && rate <= found.high) covered += 1;
        if (plain.low <= rate && rate <= plain.high) coveredByBinomial += 1;
      }
      expect(covered / fleets).toBeGreaterThanOrEqual(0.93);
      expect(covered / fleets).toBeLessThanOrEqual(0.97);
      expect(coveredByBinomial / fleets).toBeLessThan(0.8);
    },
  );
});

describe('cluster bootstrap', () => {
  it('approaches the enumeration of all resamples of seven vehicles', () => {
    // Second source, 6: all 7⁷ resamples.
    const found = bootstrapRate(seven, { seed: 1, replicates: 20_000 });
    expect(found.mean).toBeCloseTo(0.1472737765466448, 2);
    expect(Math.abs(found.standardError / 0.0615677102282715 - 1)).toBeLessThan(0.02);
    expect(Math.abs(found.low - 0.058004640371229696)).toBeLessThan(0.004);
    expect(Math.abs(found.high - 0.2857142857142857)).toBeLessThan(0.006);
    expect(found.usableReplicates).toBe(20_000);
  });

  it('gives the same for the same seed and other numbers for another', () => {
    const once = bootstrapRate(eight, { seed: 5, replicates: 500 });
    expect(bootstrapRate(eight, { seed: 5, replicates: 500 })).toEqual(once);
    expect(bootstrapRate(eight, { seed: 6, replicates: 500 }).standardError).not.toBe(once.standardError);
  });
});

describe('shrunken rates of vehicles', () => {
  it('lie between the fleet and the car, nearer to the car the more it drove', () => {
    const rates = shrunkenRates(seven);
    const pooled = 38 / 265;
    for (const [j, { rate, ownWeight, low, high }] of rates.entries()) {
      const own = seven.events[j] / seven.trials[j];
      expect(rate).toBeCloseTo(pooled + ownWeight * (own - pooled), 12);
      expect(low).toBeLessThan(rate);
      expect(high).toBeGreaterThan(rate);
    }
    expect(rates[2].ownWeight).toBeGreaterThan(rates[3].ownWeight);
  });

  it('weigh a car by n ρ / (1 + (n − 1) ρ)', () => {
    const { intraclassCorrelation: rho } = clusterVariance(seven);
    expect(shrunkenRates(seven)[0].ownWeight).toBeCloseTo((40 * rho) / (1 + 39 * rho), 12);
  });

  it('claim no rate of exactly 0 for a fleet without events', () => {
    const [first] = shrunkenRates({ events: [0, 0], trials: [10, 20] });
    expect(first.rate).toBeGreaterThan(0);
    expect(first.high).toBeGreaterThan(0.001);
  });
});
