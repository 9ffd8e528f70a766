import { createHash } from 'node:crypto';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  carsOfStage,
  hasStageEvidence,
  placeInRollout,
  type RolloutStage,
  stageFaults,
  stageSize,
} from '../src/monitor/rollout-stages.ts';

const share = (value: number): RolloutStage => ({
  size: { kind: 'share', share: value },
  minShifts: 100,
  minVehicles: 3,
});
const cars = (count: number): RolloutStage => ({ ...share(1), size: { kind: 'cars', cars: count } });
const fleetOf = (releaseId: string, ids: readonly string[]) =>
  ids.map((vehicleId) => ({ vehicleId, place: placeInRollout(releaseId, vehicleId) }));
const idsOf = (stage: RolloutStage, fleet: ReturnType<typeof fleetOf>, taken: Iterable<string> = []) =>
  carsOfStage(stage, fleet, new Set(taken)).map(({ vehicleId }) => vehicleId);

const anyFleet = fc.uniqueArray(fc.string({ minLength: 1, maxLength: 12 }), { minLength: 1, maxLength: 60 });
const anyShare = fc.double({ min: 0.001, max: 1, noNaN: true });

describe('the place of a car', () => {
  // Node's own SHA-256 (OpenSSL), an implementation apart.
  it('is the SHA-256 of release and vehicle', () =>
    expect(placeInRollout('release-1', 'car-7')).toBe(createHash('sha256').update('release-1/car-7').digest('hex')));
});

describe('the cars of a stage', () => {
  it('are those of the smaller stage and more, whatever the fleet', () => {
    fc.assert(
      fc.property(anyFleet, anyShare, anyShare, (ids, a, b) => {
        const fleet = fleetOf('r', ids);
        const [smaller, larger] = [Math.min(a, b), Math.max(a, b)].map((part) => idsOf(share(part), fleet));
        expect(larger.slice(0, smaller.length)).toEqual(smaller);
      }),
    );
  });

  it('do not depend on the order in which cars are listed', () => {
    fc.assert(
      fc.property(anyFleet, anyShare, fc.infiniteStream(fc.nat()), (ids, part, keys) => {
        const shuffled = ids
          .map((id) => [id, keys.next().value as number] as const)
          .sort((a, b) => a[1] - b[1])
          .map(([id]) => id);
        expect(idsOf(share(part), fleetOf('r', shuffled))).toEqual(idsOf(share(part), fleetOf('r', ids)));
      }),
    );
  });

  it('stay when others join or leave, and who joins gets the place that the hash gives', () => {
    fc.assert(
      fc.property(anyFleet, anyFleet, anyShare, (ids, others, part) => {
        const before = idsOf(share(part), fleetOf('r', ids));
        const joined = fleetOf('r', [...new Set([...ids, ...others])]);
        const after = idsOf(share(part), joined, before);
        expect(after).toEqual(expect.arrayContaining(before));
        const alone = idsOf(share(part), joined);
        expect(after.filter((id) => !before.includes(id))).toEqual(alone.filter((id) => !before.includes(id)));
      }),
    );
  });

  it('go first in another order in another release', () => {
    const ids = Array.from({ length: 40 }, (_, i) => `car ${i}`);
    const firsts = ['a', 'b', 'c', 'd', 'e', 'f'].map((release) => idsOf(cars(4), fleetOf(release, ids)).join());
    expect(new Set(firsts).size).toBe(firsts.length);
  });

  it.each([
    [share(0.1), 30, 3],
    [share(0.1), 31, 4],
    [share(0.01), 5, 1],
    [share(1), 24, 24],
    [cars(5), 24, 5],
    [cars(50), 24, 24],
    [share(0.25), 0, 0],
  ])('of %j of %i cars are %i', (stage, count, size) => expect(stageSize(stage, count)).toBe(size));
});

it.each([
  [99, 3, false],
  [100, 2, false],
  [100, 3, true],
])('with %i shifts of %i cars the next stage may begin: %s', (shifts, vehicles, isEnough) =>
  expect(hasStageEvidence(share(0.1), { shifts, vehicles })).toBe(isEnough),
);

describe('a ladder of stages', () => {
  it.each([
    ['rises by shares', [share(0.1), share(0.5), share(1)], 0],
    ['begins with a number of cars', [cars(2), cars(5), share(0.5), share(1)], 0],
    ['is one step', [share(1)], 0],
    ['does not rise', [share(0.5), share(0.5), share(1)], 1],
    ['goes back to a number of cars', [share(0.1), cars(5), share(1)], 1],
    ['does not reach everybody', [share(0.1), share(0.5)], 1],
    ['is none', [], 1],
  ])('that %s has %#: so many faults', (_name, stages, faults) => expect(stageFaults(stages)).toHaveLength(faults));
});
