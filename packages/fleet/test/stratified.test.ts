import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { standardisedRate } from '../src/compare/direct-standardisation.js';
import {
  cochranMantelHaenszelTest,
  commonOddsRatio,
  commonRiskDifference,
  commonRiskRatio,
  type StratumCounts,
} from '../src/compare/mantel-haenszel.js';
import { hasReference, readReference } from './reference.js';

/** R 4.2.2 UCBAdmissions (Bickel, Hammel and O'Connell 1975): admitted and rejected men, then women, by department. */
const admissions = [
  [512, 313, 89, 19],
  [353, 207, 17, 8],
  [120, 205, 202, 391],
  [138, 279, 131, 244],
  [53, 138, 94, 299],
  [22, 351, 24, 317],
];

/** Men stand for the newer revision, admissions for events. */
const departments: StratumCounts[] = admissions.map(([a, b, c, d]) => ({
  newerEvents: a,
  newerShifts: a + b,
  olderEvents: c,
  olderShifts: c + d,
}));

describe('Mantel–Haenszel on the Berkeley admissions', () => {
  // R mantelhaen.test and closed forms, reference check values 4.1.
  it('has the common odds ratio of R', () => {
    const found = commonOddsRatio(departments);
    expect(found.ratio).toBeCloseTo(0.904696828, 9);
    expect(found.logStandardError).toBeCloseTo(0.08098891, 9);
    expect(found.low).toBeCloseTo(0.771907362, 9);
    expect(found.high).toBeCloseTo(1.060329764, 8);
  });

  it('has the test of R with and without continuity correction', () => {
    const corrected = cochranMantelHaenszelTest(departments);
    expect(corrected.chiSquare).toBeCloseTo(1.426946229, 8);
    expect(corrected.pValue).toBeCloseTo(0.232263463, 8);
    const plain = cochranMantelHaenszelTest(departments, { continuityCorrection: false });
    expect(plain.chiSquare).toBeCloseTo(1.52460666, 8);
    expect(plain.pValue).toBeCloseTo(0.216923697, 8);
  });

  it('has the common risk difference with both published errors', () => {
    const found = commonRiskDifference(departments);
    expect(found.difference).toBeCloseTo(-0.018425196, 9);
    expect(found.greenlandRobinsError).toBeCloseTo(0.014619469, 8);
    expect(found.satoError).toBeCloseTo(0.014825394, 8);
  });

  it('has the common risk ratio', () => {
    const found = commonRiskRatio(departments);
    expect(found.ratio).toBeCloseTo(0.944905023, 9);
    expect(found.logStandardError).toBeCloseTo(0.044223994, 9);
  });

  it('turns the sign of the crude difference', () => {
    const sum = (pick: (k: StratumCounts) => number) => departments.reduce((total, k) => total + pick(k), 0);
    const crude =
      sum((k) => k.newerEvents) / sum((k) => k.newerShifts) - sum((k) => k.olderEvents) / sum((k) => k.olderShifts);
    expect(crude).toBeCloseTo(0.141645428, 9);
    expect(commonRiskDifference(departments).difference).toBeLessThan(0);
  });

  it('agrees with a second worked example: stress, opinion, region', () => {
    // Columbia University P8120 course notes, R output.
    const regions: StratumCounts[] = [
      { newerEvents: 55, newerShifts: 190, olderEvents: 7, olderShifts: 60 },
      { newerEvents: 48, newerShifts: 60, olderEvents: 96, olderShifts: 190 },
    ];
    const test = cochranMantelHaenszelTest(regions, { continuityCorrection: false });
    expect(test.chiSquare).toBeCloseTo(23.05, 2);
    expect(test.pValue).toBeCloseTo(1.578e-6, 9);
    const odds = commonOddsRatio(regions);
    expect(odds.ratio).toBeCloseTo(3.541726, 6);
    expect(odds.low).toBeCloseTo(2.066744, 6);
    expect(odds.high).toBeCloseTo(6.069367, 6);
  });
});

const anyStrata = fc.array(
  fc.record({ newerShifts: fc.integer({ min: 0, max: 40 }), olderShifts: fc.integer({ min: 0, max: 40 }) }).chain((n) =>
    fc.record({
      newerShifts: fc.constant(n.newerShifts),
      olderShifts: fc.constant(n.olderShifts),
      newerEvents: fc.integer({ min: 0, max: n.newerShifts }),
      olderEvents: fc.integer({ min: 0, max: n.olderShifts }),
    }),
  ),
  { minLength: 1, maxLength: 8 },
);

describe('Mantel–Haenszel in general', () => {
  it('is not moved by strata driven under one revision only', () => {
    fc.assert(
      fc.property(anyStrata, (strata) => {
        const extra = { newerEvents: 3, newerShifts: 9, olderEvents: 0, olderShifts: 0 };
        expect(commonRiskDifference([...strata, extra])).toEqual(commonRiskDifference(strata));
        expect(commonOddsRatio([...strata, extra])).toEqual(commonOddsRatio(strata));
        expect(cochranMantelHaenszelTest([...strata, extra])).toEqual(cochranMantelHaenszelTest(strata));
      }),
    );
  });

  it('turns its sign when the revisions change places', () => {
    fc.assert(
      fc.property(anyStrata, (strata) => {
        const turned = strata.map((k) => ({
          newerEvents: k.olderEvents,
          newerShifts: k.olderShifts,
          olderEvents: k.newerEvents,
          olderShifts: k.newerShifts,
        }));
        const [one, other] = [commonRiskDifference(strata), commonRiskDifference(turned)];
        if (Number.isNaN(one.difference)) return;
        expect(one.difference).toBeCloseTo(-other.difference, 12);
        expect(one.satoError).toBeCloseTo(other.satoError, 12);
      }),
    );
  });
});

describe('direct standardisation', () => {
  it('of the Berkeley admissions to all applicants is the published one', () => {
    const shifts = { men: departments.map((k) => k.newerShifts), women: departments.map((k) => k.olderShifts) };
    const weights = shifts.men.map((n, k) => n + shifts.women[k]);
    const men = standardisedRate({ events: departments.map((k) => k.newerEvents), shifts: shifts.men, weights });
    const women = standardisedRate({ events: departments.map((k) => k.olderEvents), shifts: shifts.women, weights });
    expect(men.rate).toBeCloseTo(0.387318583, 9);
    expect(men.standardError).toBeCloseTo(0.009273551, 9);
    expect(women.rate).toBeCloseTo(0.42995538, 9);
    expect(women.standardError).toBeCloseTo(0.015782354, 9);
    expect(Math.hypot(men.standardError, women.standardError)).toBeCloseTo(0.01830523, 8);
  });

  it.runIf(hasReference)('of birth-order cohorts to one population agrees with the second source', () => {
    interface Cohorts {
      population_by_birth_order: number[][];
      cases_by_birth_order: number[][];
      standard_population: number[];
      results: { adjusted_per_1e5: number }[];
    }
    const { down_syndrome_direct_standardisation: cohorts } = readReference<{
      down_syndrome_direct_standardisation: Cohorts;
    }>('second-source/stratified.json');
    for (const [i, { adjusted_per_1e5 }] of cohorts.results.entries()) {
      const { rate } = standardisedRate({
        events: cohorts.cases_by_birth_order[i],
        shifts: cohorts.population_by_birth_order[i],
        weights: cohorts.standard_population,
      });
      expect(rate * 1e5).toBeCloseTo(adjusted_per_1e5, 9);
    }
  });

  it('refuses columns of different length', () => {
    expect(() => standardisedRate({ events: [1], shifts: [2, 3], weights: [1, 1] })).toThrow(RangeError);
  });
});
