import { beforeAll, describe, expect, it } from 'vitest';
import { type CorrectionEstimate, estimateCorrections } from '../src/estimate/estimate-corrections.js';
import { type NodeDesign, nodeDesign } from '../src/estimate/node-design.js';
import { carryMoments, changeLn } from '../src/estimate/rebase-moments.js';
import { mergeShiftMoments, type ShiftMoments, shiftMomentsOf } from '../src/estimate/shift-moments.js';
import { momentsOfRows, sameCommandRows, shiftRowsOf } from '../src/estimate/shift-rows.js';
import { applyProposal } from '../src/propose/apply-proposal.js';
import { proposeCorrections } from '../src/propose/propose-corrections.js';
import { Draws } from './random.js';
import { drawPoint, driveCar, FULL_SETTING, hiddenTruth, LAYOUT, makeCars, planShifts, RULE } from './shift-fleet.js';

const SETTING = {
  ...FULL_SETTING,
  kinds: ['1-2', '2-3'],
  cars: 24,
  shiftsPerCar: 40,
  mapError: { low: 0.8, high: 1.25 },
  profileError: 0,
  outlierShare: 0,
};

interface Errors {
  /** R.m.s. of ln pressure that is left over the driving, were the whole correction made. */
  readonly own: number;
  readonly sameCommand: number;
  readonly carried: number;
  readonly ownShifts: number;
  readonly sameShifts: number;
}

/**
 * A first revision is driven, a second made of its proposal and driven as much; what is left wrong after the estimate on
 * the second. `follow` is how far responses follow a departure: 1 where profiles are the whole truth.
 */
function twoRevisions(seed: number, follow: number): Errors {
  const draws = new Draws(seed);
  const { needed, start } = hiddenTruth(draws, SETTING);
  const cars = makeCars(draws, SETTING).map((car) => ({ ...car, profileScale: follow }));
  const drive = (design: NodeDesign) => {
    const points = Array.from({ length: 600 }, () => drawPoint(draws, SETTING));
    const plan = planShifts(points, design, needed);
    const shifts = new Map(
      cars.map((car) => [car.id, driveCar(draws, plan, car, SETTING).map(({ observation }) => observation)]),
    );
    return { plan, shifts, moments: new Map([...shifts].map(([id, own]) => [id, shiftMomentsOf(own)])) };
  };
  const first = nodeDesign(LAYOUT, start, RULE);
  const before = drive(first);
  const second = nodeDesign(
    LAYOUT,
    applyProposal(start, proposeCorrections(first, solve(first, before.moments))),
    RULE,
  );
  const now = drive(second);
  const change = changeLn(first, second);
  const same = new Map(
    [...now.moments].map(([id, own]): [string, ShiftMoments] => [
      id,
      mergeShiftMoments(own, momentsOfRows(sameCommandRows(shiftRowsOf(before.shifts.get(id) ?? []), change))),
    ]),
  );
  const carried = carryMoments(now.moments, [{ byVehicle: before.moments, changeLn: change }], 1);
  const left = ({ correctionLn }: CorrectionEstimate) => {
    const squares = now.plan.map(({ row, mapErrorLn }) => {
      const made = row.nodes.reduce((sum, node, i) => sum + row.shares[i] * correctionLn[node], 0);
      return (made / follow - mapErrorLn) ** 2;
    });
    return Math.sqrt(squares.reduce((sum, square) => sum + square, 0) / squares.length);
  };
  const [own, sameCommand, all] = [now.moments, same, carried].map((moments) => solve(second, moments));
  return {
    own: left(own),
    sameCommand: left(sameCommand),
    carried: left(all),
    ownShifts: own.shifts,
    sameShifts: sameCommand.shifts,
  };
}

function solve(design: NodeDesign, moments: ReadonlyMap<string, ShiftMoments>): CorrectionEstimate {
  const found = estimateCorrections(design, moments);
  if (found.kind !== 'estimate') throw new Error('expected an estimate');
  return found;
}

const SEEDS = Array.from({ length: 10 }, (_, n) => 70_000 + n);
const mean = (errors: readonly Errors[], of: (one: Errors) => number) =>
  errors.reduce((sum, one) => sum + of(one), 0) / errors.length;

describe.each([
  { world: 'profiles are the whole truth', follow: 1 },
  { world: 'responses follow a change by half', follow: 0.5 },
])('shifts under an earlier revision, where $world', ({ follow }) => {
  let errors: Errors[];
  beforeAll(() => {
    errors = SEEDS.map((seed) => twoRevisions(seed, follow));
  }, 120_000);

  it('make the estimate no worse where the command was the same, and stand behind more of it', () => {
    expect(mean(errors, ({ sameShifts, ownShifts }) => sameShifts / ownShifts)).toBeGreaterThan(1.1);
    expect(mean(errors, ({ sameCommand }) => sameCommand)).toBeLessThan(mean(errors, ({ own }) => own));
  });

  it('help when all of them are carried over by a response that is right, and spoil it by one that is not', () => {
    const ratio = mean(errors, ({ carried }) => carried) / mean(errors, ({ own }) => own);
    const [low, high] = follow === 1 ? [0, 1] : [1.2, Number.POSITIVE_INFINITY];
    expect(ratio).toBeGreaterThan(low);
    expect(ratio).toBeLessThan(high);
  });
});
