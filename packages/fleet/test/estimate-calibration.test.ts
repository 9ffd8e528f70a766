import { beforeAll, describe, expect, it } from 'vitest';
import { estimateCorrections } from '../src/estimate/estimate-corrections.js';
import { generalisedEsd } from '../src/estimate/generalised-esd.js';
import { nodeDesign } from '../src/estimate/node-design.js';
import { oddCars } from '../src/estimate/odd-cars.js';
import { Draws } from './random.js';
import {
  type Car,
  drawPoint,
  driveCar,
  type FleetSetting,
  FULL_SETTING,
  hiddenTruth,
  LAYOUT,
  makeCars,
  momentsOfFleet,
  planShifts,
  RULE,
  truthOf,
} from './shift-fleet.js';

function simulate(seed: number, setting: FleetSetting, change: (cars: Car[]) => Car[] = (cars) => cars) {
  const draws = new Draws(seed);
  const { needed, start } = hiddenTruth(draws, setting);
  const cars = change(makeCars(draws, setting));
  const design = nodeDesign(LAYOUT, start, RULE);
  const plan = planShifts(
    Array.from({ length: 600 }, () => drawPoint(draws, setting)),
    design,
    needed,
  );
  const moments = momentsOfFleet(
    cars,
    cars.map((car) => driveCar(draws, plan, car, setting)),
  );
  const estimate = estimateCorrections(design, moments, { tolerance: 0.01 });
  if (estimate.kind !== 'estimate') throw new Error('expected an estimate');
  return { design, truthLn: truthOf(design, nodeDesign(LAYOUT, needed, RULE), estimate), estimate, moments, cars };
}

describe('over 200 simulated fleets of 24 cars with 60 shifts each', () => {
  const setting = {
    ...FULL_SETTING,
    kinds: ['1-2', '2-3'],
    cars: 24,
    shiftsPerCar: 60,
    mapError: { low: 0.82, high: 1.22 },
    profileError: 0,
    outlierShare: 0,
  };
  let fleets: ReturnType<typeof simulate>[];
  beforeAll(() => {
    fleets = Array.from({ length: 200 }, (_, n) => simulate(40_000 + n, setting));
  }, 120_000);

  it('the 95 % intervals of node corrections cover 92 to 98 %', () => {
    let [covered, nodes] = [0, 0];
    for (const { truthLn, estimate } of fleets) {
      for (const [k, truth] of truthLn.entries()) {
        if (estimate.evidence.shifts[k] < 12) continue;
        nodes += 1;
        if (Math.abs(estimate.correctionLn[k] - truth) < 1.96 * estimate.sdLn[k]) covered += 1;
      }
    }
    expect(nodes).toBeGreaterThan(10_000);
    expect(covered / nodes).toBeGreaterThan(0.92);
    expect(covered / nodes).toBeLessThan(0.98);
  });

  it('the 95 % intervals of trims cover 92 to 98 %', () => {
    const hits = fleets.flatMap(({ cars, estimate }) =>
      estimate.trims.map(({ trimLn, sdLn }, j) => Math.abs(trimLn - cars[j].trim) < 1.96 * sdLn),
    );
    const share = hits.filter(Boolean).length / hits.length;
    expect(share).toBeGreaterThan(0.92);
    expect(share).toBeLessThan(0.98);
  });
});

describe('odd cars', () => {
  const setting = { ...FULL_SETTING, shiftsPerCar: 100, mapError: { low: 0.85, high: 1.15 }, profileError: 0.15 };
  const WORN = 7;
  const LYING = 20;
  const spoil = (cars: Car[]) =>
    cars.map((car, j) =>
      // A clutch that carries a quarter less asks for ln(1/0.75) more; the lying profile doubles every response.
      j === WORN ? { ...car, trim: 0.33 } : j === LYING ? { ...car, profileScale: 2 } : car,
    );
  const namesIn = (seed: number) => {
    const { estimate, moments, cars } = simulate(seed, setting, spoil);
    return oddCars(estimate, moments).map((odd) => ({ ...odd, car: cars.findIndex(({ id }) => id === odd.vehicleId) }));
  };
  let found: ReturnType<typeof namesIn>[];
  beforeAll(() => {
    found = Array.from({ length: 16 }, (_, n) => namesIn(50_000 + n));
  }, 120_000);

  it('include the worn car by its trim and the lying profile, mostly by the scale of its responses', () => {
    const named = (car: number, what: readonly string[]) =>
      found.filter((odd) => odd.some((one) => one.car === car && what.includes(one.what))).length;
    expect(named(WORN, ['trim'])).toBeGreaterThanOrEqual(15);
    expect(named(LYING, ['responseScale'])).toBeGreaterThanOrEqual(12);
    expect(named(LYING, ['trim', 'kindTrim', 'responseScale'])).toBeGreaterThanOrEqual(14);
  });

  it('name fewer than one car in 40 falsely', () => {
    const falseNames = found.map(
      (odd) => new Set(odd.filter(({ car }) => car !== WORN && car !== LYING).map(({ car }) => car)).size,
    );
    expect(falseNames.reduce((sum, count) => sum + count, 0) / found.length).toBeLessThan(1);
  });

  it('include a car with one worn clutch by the trim of that kind of shift', () => {
    const { estimate, moments } = simulate(60_000, setting, (cars) =>
      cars.map((car, j) => (j === 3 ? { ...car, trim: 0, kindTrims: { ...car.kindTrims, '3-4': 0.25 } } : car)),
    );
    const kinds = oddCars(estimate, moments).flatMap((odd) =>
      odd.what === 'kindTrim' ? [[odd.vehicleId, odd.shiftKind]] : [],
    );
    expect(kinds).toContainEqual(['car-003', '3-4']);
  });
});

describe('the generalised ESD test', () => {
  // Rosner 1983, table 1 as reprinted in the NIST/SEMATECH e-Handbook 1.3.5.17.3: three outliers at 5 %.
  const rosner = [
    -0.25, 0.68, 0.94, 1.15, 1.2, 1.26, 1.26, 1.34, 1.38, 1.43, 1.49, 1.49, 1.55, 1.56, 1.58, 1.65, 1.69, 1.7, 1.76,
    1.77, 1.81, 1.91, 1.94, 1.96, 1.99, 2.06, 2.09, 2.1, 2.14, 2.15, 2.23, 2.24, 2.26, 2.35, 2.37, 2.4, 2.47, 2.54,
    2.62, 2.64, 2.9, 2.92, 2.92, 2.93, 3.21, 3.26, 3.3, 3.59, 3.68, 4.3, 4.64, 5.34, 5.42, 6.01,
  ];

  it('finds the three outliers of the published example, from memory of the NIST handbook', () => {
    expect(
      generalisedEsd(rosner, 0.05)
        .map((place) => rosner[place])
        .sort((a, b) => a - b),
    ).toEqual([5.34, 5.42, 6.01]);
  });

  it('names somebody in about as many clean samples as its level says', () => {
    const draws = new Draws(9);
    const named = Array.from({ length: 1500 }, () =>
      generalisedEsd(
        Array.from({ length: 40 }, () => draws.normal()),
        0.1,
      ),
    );
    const share = named.filter(({ length }) => length > 0).length / named.length;
    expect(share).toBeGreaterThan(0.07);
    expect(share).toBeLessThan(0.13);
  });

  it('says nothing of fewer than a dozen values, or of equal ones', () => {
    expect(generalisedEsd([0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 100], 0.5)).toEqual([]);
    expect(
      generalisedEsd(
        Array.from({ length: 20 }, () => 1),
        0.5,
      ),
    ).toEqual([]);
  });
});
