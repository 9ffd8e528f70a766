import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { jackknifeDifferences } from '../src/compare/jackknife-differences.ts';
import { type OutcomeRow, tabulateOutcomes } from '../src/compare/outcome-table.ts';

const row: fc.Arbitrary<OutcomeRow> = fc
  .record({
    stratum: fc.integer({ min: 0, max: 5 }),
    vehicle: fc.integer({ min: 0, max: 4 }),
    revision: fc.constantFrom('older' as const, 'newer' as const),
    shifts: fc.integer({ min: 1, max: 40 }),
    share: fc.double({ min: 0, max: 1, noNaN: true }),
  })
  .map(({ share, ...rest }) => ({ ...rest, events: Math.round(share * rest.shifts) }));

/** The differences by their definitions (methods.md 7), from rows alone; null without a common stratum. */
function differencesOf(rows: readonly OutcomeRow[]) {
  const of = (revision: string, stratum?: OutcomeRow['stratum']) => {
    const some = rows.filter((one) => one.revision === revision && (stratum === undefined || one.stratum === stratum));
    return {
      shifts: some.reduce((sum, { shifts }) => sum + shifts, 0),
      events: some.reduce((sum, { events }) => sum + events, 0),
    };
  };
  const strata = [...new Set(rows.map(({ stratum }) => stratum))]
    .map((stratum) => ({ older: of('older', stratum), newer: of('newer', stratum) }))
    .filter(({ older, newer }) => older.shifts > 0 && newer.shifts > 0)
    .map(({ older, newer }) => {
      const all = older.shifts + newer.shifts;
      const difference = newer.events / newer.shifts - older.events / older.shifts;
      return { all, weight: (older.shifts * newer.shifts) / all, difference };
    });
  if (strata.length === 0) return null;
  const mean = (weightOf: (stratum: (typeof strata)[number]) => number) =>
    strata.reduce((sum, stratum) => sum + weightOf(stratum) * stratum.difference, 0) /
    strata.reduce((sum, stratum) => sum + weightOf(stratum), 0);
  const [older, newer] = [of('older'), of('newer')];
  return {
    unadjusted: newer.events / newer.shifts - older.events / older.shifts,
    mantelHaenszel: mean(({ weight }) => weight),
    standardised: mean(({ all }) => all),
  };
}

describe('the jackknife by subtraction', () => {
  it('equals computing every difference anew without each vehicle in turn', () => {
    let compared = 0;
    fc.assert(
      fc.property(fc.array(row, { minLength: 10, maxLength: 60 }), (rows) => {
        const whole = differencesOf(rows);
        fc.pre(whole !== null);
        const table = tabulateOutcomes(rows);
        const found = jackknifeDifferences(table);
        const rests = table.vehicles.map((vehicle) => differencesOf(rows.filter((one) => one.vehicle !== vehicle)));
        if (rests.includes(null)) {
          expect(found).toBeNull();
          return;
        }
        for (const which of ['unadjusted', 'mantelHaenszel', 'standardised'] as const) {
          const shifts = rests.map((rest) => (rest?.[which] ?? Number.NaN) - whole[which]);
          const sum = shifts.reduce((total, shift) => total + shift, 0);
          const squares = shifts.reduce((total, shift) => total + shift ** 2, 0);
          const { difference, variance, degreesOfFreedom } = found?.[which] ?? {};
          expect(difference).toBeCloseTo(whole[which], 12);
          const expected =
            ((degreesOfFreedom ?? 0) / ((degreesOfFreedom ?? 0) + 1)) * (squares - sum ** 2 / shifts.length);
          // Where hardly anything varies, shifts are taken as independent instead.
          if (expected < 1e-6) continue;
          expect(variance).toBeCloseTo(expected, 12);
          compared++;
        }
      }),
      { numRuns: 200 },
    );
    expect(compared).toBeGreaterThan(100);
  });
});
