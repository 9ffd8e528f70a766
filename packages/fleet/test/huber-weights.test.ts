import { beforeAll, describe, expect, it } from 'vitest';
import { type CorrectionEstimate, estimateCorrections } from '../src/estimate/estimate-corrections.js';
import { type RobustEstimate, robustCorrections } from '../src/estimate/huber-weights.js';
import { type NodeDesign, nodeDesign } from '../src/estimate/node-design.js';
import {
  mergeShiftMoments,
  type ShiftObservation,
  shiftMomentsOf,
  subtractShiftMoments,
} from '../src/estimate/shift-moments.js';
import { encodeShiftMoments } from '../src/estimate/shift-moments-codec.js';
import { shiftRowsOf } from '../src/estimate/shift-rows.js';
import { Draws } from './random.js';
import {
  drawPoint,
  driveCar,
  FULL_SETTING,
  hiddenTruth,
  LAYOUT,
  makeCars,
  planShifts,
  RULE,
  truthOf,
} from './shift-fleet.js';
import { aShift, estimated, smallDesign } from './small-fleet.js';

type Fleet = ReadonlyMap<string, readonly ShiftObservation[]>;

const momentsOf = (fleet: Fleet) => new Map([...fleet].map(([id, own]) => [id, shiftMomentsOf(own)]));

function robust(design: NodeDesign, fleet: Fleet): RobustEstimate {
  const rows = new Map([...fleet].map(([id, own]) => [id, [shiftRowsOf(own)]]));
  const found = robustCorrections(design, momentsOf(fleet), (id) => rows.get(id) ?? []);
  if (found.kind !== 'estimate') throw new Error('expected an estimate');
  return found;
}

describe('Huber weights', () => {
  const design = smallDesign([{ id: 'base', axes: [[0, 1, 2]], values: { '1-2': [1, 1, 1] } }]);
  const draws = new Draws(3);
  const fleet: Fleet = new Map(
    Array.from({ length: 8 }, (_, j) => [
      `car ${j}`,
      Array.from({ length: 60 }, (_o, n) => {
        const node = n % 3;
        const y = 0.1 * node + 0.05 * draws.normal() + (n % 10 === 0 ? 0.6 : 0);
        return aShift({ y, row: { nodes: [node], shares: [1], gain: 1 } });
      }),
    ]),
  );
  const found = robust(design, fleet);

  it('keep a tenth of the shifts that are all wrong in one direction from pulling the corrections along', () => {
    const plain = estimated(design, momentsOf(fleet));
    expect(plain.correctionLn[1]).toBeCloseTo(0.1 + 0.06, 1);
    expect(Math.abs(found.estimate.correctionLn[1] - 0.1)).toBeLessThan(0.02);
  });

  it('name the shifts that count less, car by car', () => {
    // Six of each car's shifts are wild, and the law of normal noise puts some 4 % of the rest beyond two deviations.
    for (const far of found.farShifts.values()) {
      expect(far).toBeGreaterThanOrEqual(6);
      expect(far).toBeLessThan(6 + 0.2 * 54);
    }
  });

  it('take weight and nothing else: grades, passes and the number of shifts stay', () => {
    for (const [id, own] of momentsOf(fleet)) {
      const [before, after] = [own.get('1-2'), found.moments.get(id)?.get('1-2')];
      expect(after?.counts).toEqual(before?.counts);
      expect(after?.shifts).toBe(before?.shifts);
      expect(after?.passes).toEqual(before?.passes);
      expect(after?.weight).toBeLessThan(before?.weight ?? 0);
    }
  });

  it('depend on the shifts that are there and not on how they came: a log taken back takes its influence along', () => {
    const log = fleet.get('car 0')?.slice(0, 20) ?? [];
    const rest = fleet.get('car 0')?.slice(20) ?? [];
    const without: Fleet = new Map([...fleet, ['car 0', rest]]);
    const backAndForth = subtractShiftMoments(
      mergeShiftMoments(shiftMomentsOf(rest), shiftMomentsOf(log)),
      shiftMomentsOf(log),
    );
    expect(encodeShiftMoments(backAndForth)).toEqual(encodeShiftMoments(shiftMomentsOf(rest)));
    const reversed: Fleet = new Map([...without].reverse().map(([id, own]) => [id, [...own].reverse()]));
    const [a, b] = [robust(design, without), robust(design, reversed)];
    for (const [id, own] of a.moments) {
      expect(encodeShiftMoments(b.moments.get(id) ?? new Map())).toEqual(encodeShiftMoments(own));
    }
    expect(b.estimate.correctionLn).toEqual(a.estimate.correctionLn);
  });

  it('have nothing to say without shifts', () => {
    expect(robustCorrections(design, new Map(), () => [])).toEqual({ kind: 'insufficient', reason: 'noShifts' });
  });
});

const SETTING = {
  ...FULL_SETTING,
  kinds: ['1-2', '2-3'],
  cars: 24,
  shiftsPerCar: 60,
  mapError: { low: 0.82, high: 1.22 },
  profileError: 0,
  outlierShare: 0,
};

/** A fleet as it drove, and the same with some wild shifts. */
function simulate(seed: number) {
  const draws = new Draws(seed);
  const { needed, start } = hiddenTruth(draws, SETTING);
  const cars = makeCars(draws, SETTING);
  const design = nodeDesign(LAYOUT, start, RULE);
  const plan = planShifts(
    Array.from({ length: 600 }, () => drawPoint(draws, SETTING)),
    design,
    needed,
  );
  const clean: Fleet = new Map(
    cars.map((car) => [car.id, driveCar(draws, plan, car, SETTING).map(({ observation }) => observation)]),
  );
  // A torque signal that lies in a third of the shifts of every eighth car, a log with a slipping converter, and one shift
  // in fifty that is wild.
  const dirty: Fleet = new Map(
    [...clean].map(([id, own], j) => [
      id,
      own.map((shift, n) => {
        if (j % 8 === 0 && n < own.length / 3) return { ...shift, y: 0.5 };
        if (j === 5 && n < own.length / 4) return { ...shift, y: -0.5 };
        return draws.uniform() < 0.02 ? { ...shift, y: draws.uniform() < 0.5 ? 0.5 : -0.5 } : shift;
      }),
    ]),
  );
  return { design, needed: nodeDesign(LAYOUT, needed, RULE), clean, dirty };
}

describe('over 60 simulated fleets of 24 cars', () => {
  interface Compared {
    readonly truthLn: readonly number[];
    readonly clean: CorrectionEstimate;
    readonly robustOfClean: CorrectionEstimate;
    readonly plainOfDirty: CorrectionEstimate;
    readonly robustOfDirty: CorrectionEstimate;
  }
  let fleets: Compared[];
  beforeAll(() => {
    fleets = Array.from({ length: 60 }, (_, n) => {
      const { design, needed, clean, dirty } = simulate(40_000 + n);
      const [plain, plainOfDirty] = [clean, dirty].map((fleet) => estimateCorrections(design, momentsOf(fleet)));
      if (plain.kind !== 'estimate' || plainOfDirty.kind !== 'estimate') throw new Error('expected an estimate');
      return {
        truthLn: truthOf(design, needed, plain),
        clean: plain,
        robustOfClean: robust(design, clean).estimate,
        plainOfDirty,
        robustOfDirty: robust(design, dirty).estimate,
      };
    });
  }, 240_000);

  const driven = ({ evidence }: CorrectionEstimate) =>
    Array.from(evidence.shifts.keys()).filter((node) => evidence.shifts[node] >= 12);

  it('the 95 % intervals of node corrections cover 92 to 98 % where nothing is wild', () => {
    const hits = fleets.flatMap(({ truthLn, clean, robustOfClean: { correctionLn, sdLn } }) =>
      driven(clean).map((node) => Math.abs(correctionLn[node] - truthLn[node]) < 1.96 * sdLn[node]),
    );
    const share = hits.filter(Boolean).length / hits.length;
    expect(hits.length).toBeGreaterThan(3000);
    expect(share).toBeGreaterThan(0.92);
    expect(share).toBeLessThan(0.98);
  });

  it('wild shifts move a node by less than half of what they move least squares by, and seldom by more than its deviation', () => {
    const rms = (of: (fleet: Compared) => CorrectionEstimate) => {
      const moves = fleets.flatMap((fleet) =>
        driven(fleet.clean).map((node) => of(fleet).correctionLn[node] - fleet.clean.correctionLn[node]),
      );
      return Math.sqrt(moves.reduce((sum, move) => sum + move * move, 0) / moves.length);
    };
    // 1.3 % against 2.8 %, at a standard deviation of 1.7 %.
    expect(rms(({ plainOfDirty }) => plainOfDirty)).toBeGreaterThan(0.024);
    expect(rms(({ robustOfDirty }) => robustOfDirty)).toBeLessThan(0.0145);
    expect(rms(({ robustOfClean }) => robustOfClean)).toBeLessThan(0.002);
    const far = fleets.flatMap(({ clean, robustOfDirty }) =>
      driven(clean).map(
        (node) => Math.abs(robustOfDirty.correctionLn[node] - clean.correctionLn[node]) > clean.sdLn[node],
      ),
    );
    expect(far.filter(Boolean).length / far.length).toBeLessThan(0.2);
  });
});
