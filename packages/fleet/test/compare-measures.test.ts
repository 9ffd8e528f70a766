import { describe, expect, it } from 'vitest';
import { compareMeasures, type MeasureCell, type MeasureEstimate } from '../src/compare/compare-measures.js';
import { momentsOf } from '../src/summaries/moments.js';
import { Draws } from './random.js';

interface MeasureFleet {
  readonly vehicles: number;
  readonly shifts: number;
  /** True difference of the shift time (s). */
  readonly difference: number;
  /** Standard deviation between cars of that difference (s). */
  readonly differenceSd: number;
  /** Mean load (%) under each revision; each 10 % of load add 0.02 s. */
  readonly olderLoad: number;
  readonly newerLoad: number;
}

/** Shift times (s) of two shift kinds at three loads; cells are summaries. */
function simulate(draws: Draws, fleet: MeasureFleet): MeasureCell[] {
  const cells: MeasureCell[] = [];
  for (let vehicle = 0; vehicle < fleet.vehicles; vehicle += 1) {
    const own = 0.05 * draws.normal();
    const change = fleet.difference + fleet.differenceSd * draws.normal();
    for (const [kind, kindMean] of [
      ['3-4', 0.4],
      ['4-5', 0.5],
    ] as const) {
      const ownKind = 0.02 * draws.normal();
      for (const revision of ['older', 'newer'] as const) {
        for (const offset of [-20, 0, 20]) {
          const load = (revision === 'newer' ? fleet.newerLoad : fleet.olderLoad) + offset;
          const mean = kindMean + own + ownKind + 0.002 * load + (revision === 'newer' ? change : 0);
          const values = Array.from({ length: fleet.shifts }, () => mean + 0.08 * draws.normal());
          cells.push({ vehicle, kind, revision, covariates: [load], moments: momentsOf(values) });
        }
      }
    }
  }
  return cells;
}

function estimate(cells: readonly MeasureCell[]): MeasureEstimate {
  const found = compareMeasures(cells);
  if (found.kind === 'insufficient') throw new Error(found.reason);
  return found;
}

const driven: MeasureFleet = {
  vehicles: 12,
  shifts: 5,
  difference: -0.03,
  differenceSd: 0.02,
  olderLoad: 35,
  newerLoad: 60,
};

describe('comparison of a continuous measure', { timeout: 60_000 }, () => {
  it('covers the true difference in 91 to 99 % of 150 fleets although the newer revision was driven harder', () => {
    const draws = new Draws(11);
    const fleets = 150;
    let covered = 0;
    let crudeWorse = 0;
    for (let i = 0; i < fleets; i += 1) {
      const cells = simulate(draws, driven);
      const { low, high } = estimate(cells);
      if (low <= driven.difference && driven.difference <= high) covered += 1;
      const meanOf = (revision: string) => {
        const own = cells.filter((cell) => cell.revision === revision);
        return own.reduce((sum, { moments }) => sum + moments.mean, 0) / own.length;
      };
      if (meanOf('newer') > meanOf('older')) crudeWorse += 1;
    }
    expect(covered / fleets).toBeGreaterThanOrEqual(0.91);
    expect(covered / fleets).toBeLessThanOrEqual(0.99);
    expect(crudeWorse / fleets).toBeGreaterThan(0.9);
  });

  it('does not depend on how shifts were merged into cells', () => {
    const cells = simulate(new Draws(12), driven);
    const whole = estimate(cells);
    const halves = estimate(
      cells.flatMap((cell) => {
        // The same cell as two logs would have left it: equal counts, means apart, spread to match.
        const { count, mean, m2 } = cell.moments;
        const apart = 0.01;
        const half = (sign: number) => ({
          ...cell,
          moments: { count: count / 2, mean: mean + sign * apart, m2: (m2 - count * apart ** 2) / 2 },
        });
        return [half(1), half(-1)];
      }),
    );
    expect(halves.difference).toBeCloseTo(whole.difference, 6);
    expect(halves.standardError).toBeCloseTo(whole.standardError, 5);
    expect(halves.fit.criterion).toBeCloseTo(whole.fit.criterion, 4);
  });

  it('gives two sides of one coin: probability and interval agree', () => {
    const { difference, low, high, probabilityNewerLower } = estimate(simulate(new Draws(13), driven));
    expect(high < 0).toBe(probabilityNewerLower > 0.975);
    expect((low + high) / 2).toBeCloseTo(difference, 12);
  });

  it('says when one revision has too little', () => {
    const cells = simulate(new Draws(14), driven);
    const onlyTwoCars = cells.filter(({ vehicle, revision }) => revision === 'older' || Number(vehicle) < 2);
    expect(compareMeasures(onlyTwoCars)).toMatchObject({ kind: 'insufficient', reason: 'tooFewVehicles', vehicles: 2 });
    expect(compareMeasures([])).toMatchObject({ kind: 'insufficient', reason: 'tooFewShifts', shifts: 0 });
    const constant = cells.map((cell) => ({ ...cell, moments: { count: 5, mean: 0.5, m2: 0 } }));
    expect(compareMeasures(constant)).toMatchObject({ kind: 'insufficient', reason: 'noResidualVariation' });
  });
});
