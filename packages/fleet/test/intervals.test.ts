import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { clopperPearsonInterval, jeffreysInterval, midPInterval } from '../src/rates/exact-intervals.js';
import { newcombeDifference } from '../src/rates/newcombe-difference.js';
import {
  type Count,
  type Interval,
  wilsonInterval,
  wilsonIntervalWithContinuity,
} from '../src/rates/wilson-interval.js';
import { normalCritical } from '../src/special/normal.js';
import { hasReference, readReference } from './reference.js';

const z = normalCritical(0.95);

const methods: Record<string, (count: Count) => Interval> = {
  wilson: (count) => wilsonInterval({ ...count, z }),
  wilsonWithContinuity: (count) => wilsonIntervalWithContinuity({ ...count, z }),
  clopperPearson: (count) => clopperPearsonInterval({ ...count, confidence: 0.95 }),
  midP: (count) => midPInterval({ ...count, confidence: 0.95 }),
  jeffreys: (count) => jeffreysInterval({ ...count, confidence: 0.95 }),
};

const anyCount = fc
  .integer({ min: 1, max: 400 })
  .chain((trials) => fc.record({ trials: fc.constant(trials), events: fc.integer({ min: 0, max: trials }) }));

describe('intervals of one rate', () => {
  // Newcombe 1998, Stat. Med. 17, 857–872, table I (methods 3 to 6); Jeffreys: statsmodels 0.13.5 with the end rule.
  const published: [string, number, number, number, number][] = [
    ['wilson', 81, 263, 0.2553, 0.3662],
    ['wilson', 15, 148, 0.0624, 0.1605],
    ['wilson', 0, 20, 0, 0.1611],
    ['wilson', 1, 29, 0.0061, 0.1718],
    ['wilsonWithContinuity', 81, 263, 0.2535, 0.3682],
    ['wilsonWithContinuity', 15, 148, 0.0598, 0.1644],
    ['wilsonWithContinuity', 0, 20, 0, 0.2005],
    ['wilsonWithContinuity', 1, 29, 0.0018, 0.1963],
    ['clopperPearson', 81, 263, 0.2527, 0.3676],
    ['clopperPearson', 15, 148, 0.0578, 0.1617],
    ['clopperPearson', 0, 20, 0, 0.1684],
    ['clopperPearson', 1, 29, 0.0009, 0.1776],
    ['midP', 81, 263, 0.2544, 0.3658],
    ['midP', 15, 148, 0.0601, 0.1581],
    ['midP', 0, 20, 0, 0.1391],
    ['midP', 1, 29, 0.0017, 0.1585],
    ['jeffreys', 81, 263, 0.2545, 0.3656],
    ['jeffreys', 15, 148, 0.0604, 0.1576],
    ['jeffreys', 0, 20, 0, 0.1166],
    ['jeffreys', 1, 29, 0.0037, 0.1501],
  ];
  it.each(published)('%s of %i in %i is the published %d to %d', (method, events, trials, low, high) => {
    const found = methods[method]({ events, trials });
    expect(Math.abs(found.low - low)).toBeLessThanOrEqual(5e-5);
    expect(Math.abs(found.high - high)).toBeLessThanOrEqual(5e-5);
  });

  it.runIf(hasReference)('agrees with every row of the reference files to 1e-9', () => {
    type Row = { x: number; n: number } & Record<string, [number, number]>;
    const { single } = readReference<{ single: Row[] }>('binomial_intervals.json');
    const columns = {
      wilson: 'wilson',
      wilsonWithContinuity: 'wilson_cc',
      clopperPearson: 'clopper_pearson',
      midP: 'mid_p',
      jeffreys: 'jeffreys_modified',
    };
    expect(single.length).toBeGreaterThan(10);
    for (const row of single) {
      for (const [method, column] of Object.entries(columns)) {
        const { low, high } = methods[method]({ events: row.x, trials: row.n });
        expect(low, `${method} ${row.x}/${row.n}`).toBeCloseTo(row[column][0], 9);
        expect(high, `${method} ${row.x}/${row.n}`).toBeCloseTo(row[column][1], 9);
      }
    }
  });

  it('has the identity limits: Wilson z²/(n + z²) and Clopper–Pearson 1 − (α/2)^(1/n) without events', () => {
    for (const trials of [1, 10, 300]) {
      expect(wilsonInterval({ events: 0, trials, z }).high).toBeCloseTo(z ** 2 / (trials + z ** 2), 12);
      const exact = clopperPearsonInterval({ events: 0, trials, confidence: 0.95 });
      expect(exact.high).toBeCloseTo(1 - 0.025 ** (1 / trials), 12);
    }
  });

  it.each(Object.keys(methods))(
    '%s treats events and non-events alike, holds the rate and ends at 0 and 1',
    (method) => {
      fc.assert(
        fc.property(anyCount, ({ events, trials }) => {
          const one = methods[method]({ events, trials });
          const mirrored = methods[method]({ events: trials - events, trials });
          expect(one.low).toBeCloseTo(1 - mirrored.high, 10);
          expect(one.high).toBeCloseTo(1 - mirrored.low, 10);
          expect(one.low).toBeLessThanOrEqual(events / trials);
          expect(one.high).toBeGreaterThanOrEqual(events / trials);
          expect(one.low === 0).toBe(events === 0);
          expect(one.high === 1).toBe(events === trials);
        }),
      );
    },
  );

  // Exact enumeration, reference check values 10.3.
  it.each([
    [10, 0.02, 0.9838223593],
    [10, 0.5, 0.978515625],
    [30, 0.3, 0.9297925092],
    [100, 0.05, 0.9658911766],
  ])('Wilson of %i trials at a rate of %d covers it as often as enumeration says', (trials, rate, expected) => {
    let coverage = 0;
    let probability = (1 - rate) ** trials;
    for (let events = 0; events <= trials; events += 1) {
      const { low, high } = wilsonInterval({ events, trials, z });
      if (low <= rate && rate <= high) coverage += probability;
      probability *= ((trials - events) / (events + 1)) * (rate / (1 - rate));
    }
    expect(coverage).toBeCloseTo(expected, 9);
  });
});

describe('difference of two independent rates', () => {
  // Newcombe 1998, Stat. Med. 17, 873–890, table II, method 10.
  it.each([
    [56, 70, 48, 80, 0.2, 0.0524, 0.3339],
    [9, 10, 3, 10, 0.6, 0.1705, 0.809],
    [6, 7, 2, 7, 0.5714, 0.0582, 0.8062],
    [5, 56, 0, 29, 0.0893, -0.0381, 0.1926],
    [0, 10, 0, 20, 0, -0.1611, 0.2775],
    [0, 10, 0, 10, 0, -0.2775, 0.2775],
    [10, 10, 0, 20, 1, 0.6791, 1],
    [10, 10, 0, 10, 1, 0.6075, 1],
  ])('of %i/%i and %i/%i is the published %d, %d to %d', (x1, n1, x2, n2, difference, low, high) => {
    const found = newcombeDifference({ events: x1, trials: n1 }, { events: x2, trials: n2 }, z);
    expect(found.difference).toBeCloseTo(difference, 4);
    expect(Math.abs(found.low - low)).toBeLessThanOrEqual(5e-5);
    expect(Math.abs(found.high - high)).toBeLessThanOrEqual(5e-5);
  });

  it('changes sign and swaps its ends with the order of the two', () => {
    fc.assert(
      fc.property(anyCount, anyCount, (first, second) => {
        const forth = newcombeDifference(first, second, z);
        const back = newcombeDifference(second, first, z);
        expect(forth.low).toBeCloseTo(-back.high, 12);
        expect(forth.high).toBeCloseTo(-back.low, 12);
        expect(forth.low).toBeGreaterThanOrEqual(-1);
        expect(forth.high).toBeLessThanOrEqual(1);
      }),
    );
  });
});
