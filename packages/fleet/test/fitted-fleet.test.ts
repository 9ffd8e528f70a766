import { describe, expect, it } from 'vitest';
import { fitFleet, refitFleet } from '../src/estimate/fitted-fleet.js';
import { type LostWeight, observationsOf } from '../src/estimate/lost-weight.js';
import { nodeDesign } from '../src/estimate/node-design.js';
import { reweighted, shiftMomentsOf, WEIGHT_STEP } from '../src/estimate/shift-moments.js';
import { shiftRowsOf } from '../src/estimate/shift-rows.js';
import { Draws } from './random.js';
import { drawPoint, driveCar, FULL_SETTING, hiddenTruth, LAYOUT, makeCars, planShifts, RULE } from './shift-fleet.js';

const SETTING = { ...FULL_SETTING, cars: 14, shiftsPerCar: 50 };

/** A fleet with tables that shifts share and gauges, and some weight that shifts of some cars lose. */
function drive(seed: number) {
  const draws = new Draws(seed);
  const { needed, start } = hiddenTruth(draws, SETTING);
  const cars = makeCars(draws, SETTING);
  const design = nodeDesign(LAYOUT, start, RULE);
  const points = Array.from({ length: 300 }, () => drawPoint(draws, SETTING));
  const plan = planShifts(points, design, needed);
  const observed = new Map(
    cars.map((car) => [car.id, driveCar(draws, plan, car, SETTING).map(({ observation }) => observation)]),
  );
  const lost = new Map<string, LostWeight[]>();
  for (const [j, [id, own]] of [...observed].entries()) {
    // Every third car keeps all; the others' rows come in two parts, as of two revisions.
    if (j % 3 === 0) continue;
    const parts = [own.slice(0, 20), own.slice(20)].map((part) => shiftRowsOf(part));
    lost.set(
      id,
      parts.map((rows) => {
        const shifts = [...rows.kind.keys()].filter(() => draws.uniform() < 0.3);
        return { rows, shifts, changes: shifts.map((shift) => WEIGHT_STEP - rows.weights[shift]) };
      }),
    );
  }
  return { design, moments: new Map([...observed].map(([id, own]) => [id, shiftMomentsOf(own)])), lost };
}

describe('a fleet where some shifts count less', () => {
  it.each([
    { componentVehicles: 80, of: 'all cars' },
    { componentVehicles: 5, of: 'some cars' },
  ])('is to the bit what moments without that weight give, with components of $of', ({ componentVehicles }) => {
    for (const seed of [1, 2, 3]) {
      const { design, moments, lost } = drive(seed);
      const whole = fitFleet(design, moments, { componentVehicles });
      if (whole === null) throw new Error('expected a fit');
      const start = whole.fit.components;
      const weighted = new Map(
        [...moments].map(([id, own]) => [id, reweighted(own, (lost.get(id) ?? []).flatMap(observationsOf))]),
      );
      const expected = fitFleet(design, weighted, { componentVehicles, start });
      const { blocks, sums, sample, behind, fit } = refitFleet(whole, lost, start);
      expect(expected).toMatchObject({ blocks, sums, sample, behind, fit });
      expect(sums.square).toBeLessThan(whole.sums.square);
      expect(blocks).not.toEqual(whole.blocks);
    }
  });

  it('leaves the fleet with every weight as it is, and its evidence with it', () => {
    const { design, moments, lost } = drive(4);
    const whole = fitFleet(design, moments);
    if (whole === null) throw new Error('expected a fit');
    const before = structuredClone({
      sums: whole.sums.square,
      members: whole.sums.kinds.map(({ members }) => members),
    });
    const { evidence } = refitFleet(whole, lost, whole.fit.components);
    expect({ sums: whole.sums.square, members: whole.sums.kinds.map(({ members }) => members) }).toEqual(before);
    expect(evidence).toBe(whole.evidence);
  });
});
