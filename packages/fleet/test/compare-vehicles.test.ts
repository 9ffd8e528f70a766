import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  compareOutcomes,
  compareVehicles,
  newcombeDifference,
  type OutcomeRow,
  tabulateOutcomes,
} from '../src/index.ts';

const row = fc
  .record({
    vehicle: fc.integer({ min: 0, max: 4 }),
    stratum: fc.integer({ min: 0, max: 3 }),
    revision: fc.constantFrom('older' as const, 'newer' as const),
    shifts: fc.integer({ min: 1, max: 50 }),
    events: fc.integer({ min: 0, max: 50 }),
  })
  .map((one): OutcomeRow => ({ ...one, events: Math.min(one.events, one.shifts) }));

describe('a comparison taken apart by vehicle', () => {
  it('has every shift in it, and weights that add up to one where anything was driven alike', () => {
    fc.assert(
      fc.property(fc.array(row, { minLength: 1, maxLength: 40 }), (rows) => {
        const table = tabulateOutcomes(rows);
        const parts = compareVehicles(table);
        const sum = (pick: (part: (typeof parts)[number]) => number) =>
          parts.reduce((all, part) => all + pick(part), 0);
        expect(sum(({ older, newer }) => older.shifts + newer.shifts)).toBe(rows.reduce((n, one) => n + one.shifts, 0));
        expect(sum(({ older, newer }) => older.events + newer.events)).toBe(rows.reduce((n, one) => n + one.events, 0));
        const { commonStrata } = compareOutcomes(table);
        expect(sum(({ weight }) => weight)).toBeCloseTo(commonStrata > 0 ? 1 : 0, 9);
        for (const { difference } of parts) {
          if (difference) expect(difference.low).toBeLessThanOrEqual(difference.difference);
          if (difference) expect(difference.high).toBeGreaterThanOrEqual(difference.difference);
        }
      }),
    );
  });

  it('compares a car with itself, like with like, and none that drove nothing alike', () => {
    const counts = (vehicle: string, stratum: string, revision: 'older' | 'newer', events: number, shifts: number) => ({
      vehicle,
      stratum,
      revision,
      shifts,
      events,
    });
    const parts = compareVehicles(
      tabulateOutcomes([
        counts('a', 'hill', 'older', 10, 40),
        counts('a', 'hill', 'newer', 4, 40),
        counts('a', 'town', 'newer', 9, 10),
        counts('b', 'hill', 'older', 0, 30),
        counts('c', 'town', 'older', 0, 20),
        counts('c', 'town', 'newer', 0, 20),
      ]),
    );
    // 4/40 − 10/40, ± 1.96 √(0.1·0.9/40 + 0.25·0.75/40) for independent counts in one stratum.
    expect(parts[0].difference?.difference).toBeCloseTo(-0.15, 12);
    expect(parts[0].difference?.high).toBeCloseTo(-0.15 + 1.96 * Math.sqrt(0.09 / 40 + 0.1875 / 40), 2);
    expect(parts[1].difference).toBeNull();
    const { low, high } = newcombeDifference({ events: 0, trials: 20 }, { events: 0, trials: 20 }, 1.959964);
    expect(parts[2].difference?.difference).toBe(0);
    expect(parts[2].difference?.low).toBeCloseTo(low, 6);
    expect(parts[2].difference?.high).toBeCloseTo(high, 6);
  });
});
