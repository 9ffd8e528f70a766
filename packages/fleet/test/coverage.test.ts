import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  addedShifts,
  beliefOf,
  driveGain,
  expectedWidth,
  intervalWidth,
  probabilityAbove,
} from '../src/coverage/drive-gain.js';
import { type CarShifts, effectiveShifts } from '../src/coverage/effective-shifts.js';
import { type CellEvidence, DEFAULT_GAP_OPTIONS, modelCoverage } from '../src/coverage/find-gaps.js';
import { pooledCorrelation } from '../src/coverage/pooled-correlation.js';
import { usageShares } from '../src/coverage/usage-shares.js';
import { clusterVariance } from '../src/rates/design-effect.js';
import { Draws } from './random.js';

const CORRELATIONS = { car: 0.1, dialect: 0.02 };

const aCar = (vehicleId: string, shifts: number, events = 0, dialect: string | null = 'kelp'): CarShifts => ({
  vehicleId,
  dialect,
  shifts,
  events,
});

/** A few cars with whole counts on two dialects or an unknown one. */
const someCars = fc
  .array(
    fc.record({
      shifts: fc.integer({ min: 0, max: 60 }),
      share: fc.double({ min: 0, max: 1, noNaN: true }),
      dialect: fc.constantFrom('kelp', 'marram', null),
    }),
    { maxLength: 8 },
  )
  .map((cars) =>
    cars.map(({ shifts, share, dialect }, i) => aCar(`car-${i}`, shifts, Math.round(share * shifts), dialect)),
  );
const someCorrelations = fc
  .tuple(fc.double({ min: 0.01, max: 0.5, noNaN: true }), fc.double({ min: 0, max: 1, noNaN: true }))
  .map(([car, share]) => ({ car, dialect: share * car }));

describe('what shifts of several cars are worth', () => {
  it.each([
    [20, 0.05, 20 / 1.95],
    [1, 0.3, 1],
    [100, 0, 100],
  ])('%i shifts of one car at a correlation of %f are n/(1 + (n − 1)ρ) as Kish has it', (shifts, car, worth) => {
    expect(effectiveShifts([aCar('a', shifts)], { car, dialect: 0 }).trials).toBeCloseTo(worth, 12);
  });

  it('is the generalised least squares of a mean under the covariance written out shift by shift', () => {
    const cars = [aCar('a', 3, 1), aCar('b', 1, 1), aCar('c', 4, 2, 'marram'), aCar('d', 2, 0, 'marram')];
    const { information, mean } = leastSquares(cars, CORRELATIONS);
    const found = effectiveShifts(cars, CORRELATIONS);
    expect(found.trials).toBeCloseTo(information, 10);
    expect(found.events / found.trials).toBeCloseTo(mean, 10);
  });

  it('is bounded for one car and for one dialect however long they drive', () => {
    expect(effectiveShifts([aCar('a', 1e9)], CORRELATIONS).trials).toBeCloseTo(1 / CORRELATIONS.car, 4);
    const many = Array.from({ length: 10_000 }, (_, i) => aCar(`car-${i}`, 1000));
    expect(effectiveShifts(many, CORRELATIONS).trials).toBeLessThan(1 / CORRELATIONS.dialect);
  });

  it('is never more than the shifts, nor less than those of any car alone', () => {
    fc.assert(
      fc.property(someCars, someCorrelations, (cars, correlations) => {
        const { trials, events } = effectiveShifts(cars, correlations);
        const driven = cars.reduce((sum, { shifts }) => sum + shifts, 0);
        expect(trials).toBeLessThanOrEqual(driven * (1 + 1e-9));
        for (const car of cars) {
          expect(trials).toBeGreaterThanOrEqual(effectiveShifts([car], correlations).trials * (1 - 1e-9));
        }
        expect(events).toBeGreaterThanOrEqual(0);
        expect(events).toBeLessThanOrEqual(trials * (1 + 1e-9));
      }),
    );
  });
});

describe('what a planned drive adds', () => {
  const added = (cars: readonly CarShifts[], vehicleId: string | null, dialect: string | null, shifts = 12) =>
    addedShifts(cars, { vehicleId, dialect, shifts }, CORRELATIONS);

  it('is more by a further car than by one that has driven here', () => {
    fc.assert(
      fc.property(someCars, fc.integer({ min: 1, max: 40 }), (cars, shifts) => {
        for (const { vehicleId, dialect } of cars) {
          expect(added(cars, null, dialect, shifts)).toBeGreaterThanOrEqual(
            added(cars, vehicleId, dialect, shifts) - 1e-9,
          );
        }
      }),
    );
  });

  it('is more by a dialect that is new here than by one that is known', () => {
    const cars = [aCar('a', 20), aCar('b', 20)];
    expect(added(cars, null, 'marram')).toBeGreaterThan(added(cars, null, 'kelp') + 0.1);
  });

  it('is never less for more shifts, nor negative', () => {
    fc.assert(
      fc.property(someCars, fc.integer({ min: 0, max: 40 }), fc.boolean(), (cars, shifts, isKnown) => {
        const car = isKnown ? cars[0] : undefined;
        const by = (count: number) => added(cars, car?.vehicleId ?? null, car ? car.dialect : 'kelp', count);
        expect(by(shifts)).toBeGreaterThanOrEqual(0);
        expect(by(shifts + 1)).toBeGreaterThanOrEqual(by(shifts) - 1e-9);
      }),
    );
  });
});

describe('width that is to be expected', () => {
  it.each([
    [2, 3, 5],
    [0.7, 9.3, 12],
    [1, 1, 1],
  ])(
    'is the root mean square over everything that further shifts can show, for beta(%f, %f) and %i',
    (a, b, shifts) => {
      // Enumerated: the beta-binomial probability of k events times the variance of beta(a + k, b + n − k).
      const belief = { rate: a / (a + b), trials: a + b };
      const width = (k: number) => intervalWidth({ rate: (a + k) / (a + b + shifts), trials: a + b + shifts });
      let meanSquare = 0;
      for (let k = 0; k <= shifts; k++) meanSquare += betaBinomial(k, shifts, a, b) * width(k) ** 2;
      expect(expectedWidth(belief, shifts)).toBeCloseTo(Math.sqrt(meanSquare), 10);
    },
  );

  it('is that of a uniform belief: variance 1/12, after one shift 1/18', () => {
    const uniform = { rate: 0.5, trials: 2 };
    const z = 1.959963984540054;
    expect(intervalWidth(uniform)).toBeCloseTo(2 * z * Math.sqrt(1 / 12), 10);
    expect(expectedWidth(uniform, 1)).toBeCloseTo(2 * z * Math.sqrt(1 / 18), 10);
  });
});

describe('probability that a rate is above a bound', () => {
  it('is (1 − x)^n without an event in n shifts on a prior of one event, as integration gives', () => {
    // beta(1, n): P(p > x) = (1 − x)^n.
    expect(probabilityAbove({ rate: 1 / 11, trials: 11 }, 0.05)).toBeCloseTo(0.95 ** 10, 12);
  });
});

describe('gain of a drive', () => {
  const options = { added: 8, usageShare: 0.03, rateBound: 0.05 };

  it('never grows with evidence that confirms what is believed', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.01, max: 0.6, noNaN: true }),
        fc.double({ min: 4, max: 200, noNaN: true }),
        fc.double({ min: 0, max: 100, noNaN: true }),
        (rate, trials, more) => {
          const now = driveGain({ rate, trials }, options);
          const later = driveGain({ rate, trials: trials + more }, options);
          expect(later.widthNow - later.widthAfter).toBeLessThanOrEqual(now.widthNow - now.widthAfter + 1e-12);
          expect(later.gain).toBeLessThanOrEqual(now.gain * (1 + 1e-6) + 1e-12);
        },
      ),
    );
  });

  it('is proportional to the share of driving, and larger where flares are likelier', () => {
    const belief = { rate: 0.06, trials: 10 };
    const gain = (change: Partial<typeof options>) => driveGain(belief, { ...options, ...change }).gain;
    expect(gain({ usageShare: 0.06 })).toBeCloseTo(2 * gain({}), 12);
    expect(gain({ rateBound: 0.02 })).toBeGreaterThan(gain({}));
    expect(gain({ added: 0 })).toBe(0);
  });

  it('is nothing for a car that has told all that it can', () => {
    const cars = [aCar('a', 100_000, 5000)];
    const correlations = { car: 0.1, dialect: 0.02 };
    const belief = beliefOf(cars, { mean: 0.05, trials: 4 }, correlations);
    const of = (vehicleId: string | null) =>
      driveGain(belief, {
        ...options,
        added: addedShifts(cars, { vehicleId, dialect: 'kelp', shifts: 12 }, correlations),
      });
    expect(of('a').gain).toBeLessThan(1e-4 * of(null).gain);
  });
});

describe('correlation from all points', () => {
  it('is that of a single point where there is only one', () => {
    const draws = new Draws(7);
    const cars = Array.from({ length: 25 }, (_, i) => {
      const shifts = 5 + (i % 9);
      return aCar(`car-${i}`, shifts, draws.binomial(shifts, draws.beta(0.3, 0.2)));
    });
    const single = clusterVariance({
      events: cars.map(({ events }) => events),
      trials: cars.map(({ shifts }) => shifts),
    });
    expect(pooledCorrelation([cars])).toBeCloseTo(single.intraclassCorrelation, 12);
  });

  it.each([0.05, 0.15, 0.3])('of simulated fleets with %f is found within a fifth', (correlation) => {
    const draws = new Draws(11);
    const cells = Array.from({ length: 400 }, (_, c) =>
      Array.from({ length: 10 }, (_unused, i) =>
        aCar(`car-${i}`, 30, draws.binomial(30, draws.beta(0.1 + 0.02 * (c % 10), correlation))),
      ),
    );
    expect(Math.abs(pooledCorrelation(cells) / correlation - 1)).toBeLessThan(0.2);
  });

  it('is the assumed one while too few cars drove, and none where nothing happened', () => {
    expect(pooledCorrelation([[aCar('a', 30, 3), aCar('b', 20, 9)]])).toBe(0.05);
    expect(pooledCorrelation([[aCar('a', 30), aCar('b', 20)]])).toBe(0.05);
    expect(pooledCorrelation([])).toBe(0.05);
  });
});

describe('share of driving', () => {
  const grid = (counts: readonly (readonly number[])[]) =>
    counts.flatMap((row, loadBand) =>
      row.map((shifts, temperatureBand) => ({ kind: '1-2', loadBand, temperatureBand, shifts })),
    );

  it('sums to 1 and is above 0 for points that no one has driven', () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(fc.nat(50), fc.nat(50), fc.nat(50)), { minLength: 1, maxLength: 5 }), (counts) => {
        const shares = usageShares(grid(counts));
        expect(shares.reduce((sum, share) => sum + share, 0)).toBeCloseTo(1, 10);
        expect(Math.min(...shares)).toBeGreaterThan(0);
      }),
    );
  });

  it.each([1, 400])('is drawn by the weight of one shift while all %i shifts fell on one point', (shifts) => {
    const [undriven, driven, other] = usageShares(grid([[0, shifts, 0]]));
    const expected = 0.5 / (shifts + 1.5);
    expect(undriven).toBeCloseTo(expected / (shifts + 1), 12);
    expect(other).toBe(undriven);
    expect(undriven + driven + other).toBeCloseTo(1, 12);
  });

  it('has the weight that makes the expected squared error least, by search', () => {
    const counts = [
      [40, 3, 0],
      [5, 30, 9],
    ];
    const total = 87;
    const lambda = [43, 44].flatMap((row) =>
      [45, 33, 9].map((column) => ((row + 0.5) / (total + 1)) * ((column + 0.5) / (total + 1.5))),
    );
    const cells = grid(counts);
    const drawn = (weight: number) => cells.map(({ shifts }, i) => (shifts + weight * lambda[i]) / (total + weight));
    // Variance and squared bias, with the observed shares in place of the true ones.
    const risk = (weight: number) =>
      cells.reduce((sum, { shifts }, i) => {
        const p = shifts / total;
        const variance = (total / (total + weight)) ** 2 * ((p * (1 - p)) / total);
        return sum + variance + (weight / (total + weight)) ** 2 * (lambda[i] - p) ** 2;
      }, 0);
    let best = 0;
    for (let weight = 0; weight < 50; weight += 0.001) if (risk(weight) < risk(best)) best = weight;
    expect(best).toBeGreaterThan(1);
    drawn(best).forEach((share, i) => expect(usageShares(cells)[i]).toBeCloseTo(share, 5));
  });

  it('of an undriven point in a row that is driven often is above that of one in a row driven seldom', () => {
    const [, , often, , , seldom] = usageShares(
      grid([
        [60, 40, 0],
        [2, 1, 0],
      ]),
    );
    expect(often).toBeGreaterThan(5 * seldom);
  });
});

describe('gaps of a fleet', () => {
  const point = (loadBand: number, cars: readonly CarShifts[], kind = '1-2'): CellEvidence => ({
    kind,
    loadBand,
    temperatureBand: 2,
    cars,
  });
  const options = { ...DEFAULT_GAP_OPTIONS, dialects: ['kelp', 'marram'] };
  const enough = [aCar('a', 20, 1), aCar('b', 20, 1), aCar('c', 20, 1, 'marram')];

  it('are the points that lack shifts, cars or a dialect, each saying which', () => {
    const cells = [
      point(0, enough),
      point(1, []),
      point(2, [aCar('a', 40, 2), aCar('c', 40, 2, 'marram')]),
      point(3, [aCar('a', 40, 2), aCar('b', 40, 2), aCar('d', 40, 2)]),
    ];
    const gaps = modelCoverage(cells, options).gaps();
    const lacks = Object.fromEntries(gaps.map((gap) => [gap.loadBand, gap.lacks]));
    expect(lacks).toEqual({ 1: ['shifts', 'vehicles', 'dialects'], 2: ['vehicles'], 3: ['dialects'] });
    expect(gaps.find(({ loadBand }) => loadBand === 3)?.missingDialects).toEqual(['marram']);
    expect(gaps.map(({ gain }) => gain)).toEqual(gaps.map(({ gain }) => gain).sort((a, b) => b - a));
  });

  it('put a point that flares and is driven often before one that is clean and seldom driven', () => {
    const often = point(0, [aCar('a', 14, 4), aCar('b', 14, 3)]);
    const seldom = point(1, [aCar('a', 2), aCar('b', 1)]);
    const [first] = modelCoverage([often, seldom, point(2, enough)], options).gaps();
    expect(first).toMatchObject({ loadBand: 0, lacks: ['shifts', 'vehicles', 'dialects'] });
    expect(first.probabilityAbove).toBeGreaterThan(0.9);
  });

  it('ask for no more than a dozen shifts of a car, and for as many cars as are missing', () => {
    const [never] = modelCoverage([point(0, []), point(1, enough)], options).gaps();
    expect(never).toMatchObject({ wantedVehicles: 3, wantedShifts: 30 });
    const [nearly] = modelCoverage(
      [point(0, [aCar('a', 14), aCar('c', 15, 0, 'marram')]), point(1, enough)],
      options,
    ).gaps();
    expect(nearly).toMatchObject({ wantedVehicles: 1, wantedShifts: 6 });
  });

  it('tell what one car would bring: less where it drove already, most with a dialect that is new', () => {
    const model = modelCoverage([point(0, [aCar('a', 12, 1), aCar('b', 6, 1)]), point(1, enough)], options);
    const gainOf = (vehicleId: string, dialect: string) =>
      model.gainOf(point(0, []), { vehicleId, dialect })?.gain ?? 0;
    expect(gainOf('a', 'kelp')).toBeLessThan(gainOf('b', 'kelp'));
    expect(gainOf('b', 'kelp')).toBeLessThan(gainOf('new', 'kelp'));
    expect(gainOf('new', 'kelp')).toBeLessThan(gainOf('new', 'marram'));
    expect(model.gainOf({ ...point(9, []), kind: 'none' }, { vehicleId: null, dialect: null })).toBeUndefined();
  });

  it('of a fleet that has driven nothing are all alike', () => {
    const gains = modelCoverage([point(0, []), point(1, [])], options)
      .gaps()
      .map(({ gain }) => gain);
    expect(gains[0]).toBeGreaterThan(0);
    expect(gains[0]).toBeCloseTo(gains[1], 12);
  });
});

/** Generalised least squares of a constant, with the covariance of every pair of shifts written out. */
function leastSquares(cars: readonly CarShifts[], { car, dialect }: { car: number; dialect: number }) {
  const shifts = cars.flatMap((entry) =>
    Array.from({ length: entry.shifts }, (_, i) => ({ entry, outcome: i < entry.events ? 1 : 0 })),
  );
  const covariance = shifts.map((a, i) =>
    shifts.map((b, j) => {
      if (i === j) return 1;
      if (a.entry === b.entry) return car;
      return a.entry.dialect === b.entry.dialect ? dialect : 0;
    }),
  );
  const solved = solve(
    covariance,
    shifts.map(() => 1),
  );
  const information = solved.reduce((sum, value) => sum + value, 0);
  return { information, mean: shifts.reduce((sum, { outcome }, i) => sum + outcome * solved[i], 0) / information };
}

/** Gaussian elimination; the matrices here are positive definite. */
function solve(matrix: readonly (readonly number[])[], right: readonly number[]): number[] {
  const rows = matrix.map((row, i) => [...row, right[i]]);
  rows.forEach((pivot, i) => {
    for (const row of rows) {
      if (row === pivot) continue;
      const factor = row[i] / pivot[i];
      for (let k = 0; k < row.length; k++) row[k] -= factor * pivot[k];
    }
  });
  return rows.map((row, i) => row[row.length - 1] / row[i]);
}

function betaBinomial(k: number, n: number, a: number, b: number): number {
  // By the recurrence p(k + 1)/p(k) = (n − k)(a + k) / ((k + 1)(b + n − k − 1)) from p(0) = Π (b + i)/(a + b + i).
  let p = 1;
  for (let i = 0; i < n; i++) p *= (b + i) / (a + b + i);
  for (let i = 0; i < k; i++) p *= ((n - i) * (a + i)) / ((i + 1) * (b + n - i - 1));
  return p;
}
