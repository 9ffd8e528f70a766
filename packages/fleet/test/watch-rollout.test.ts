import { describe, expect, it } from 'vitest';
import { type WatchedRow, watchRollout } from '../src/monitor/watch-rollout.ts';
import { simulateRollout } from './simulate-rollout.ts';

/** Drives of `cars` cars under both revisions, each with the same counts. */
function rows(
  newerFlares: number,
  { loadBand = 2, cars = 6, drives = 12, olderFlares = 2, shifts = 50 } = {},
): WatchedRow[] {
  return Array.from({ length: cars }, (_, car) =>
    Array.from({ length: drives }, (__, drive) =>
      (['older', 'newer'] as const).map((revision): WatchedRow => {
        // One more or less from drive to drive, so that there is a spread to estimate from.
        const wobble = (car + drive) % 3 === 0 ? 1 : 0;
        const events = (revision === 'older' ? olderFlares : newerFlares) + wobble;
        return {
          vehicle: `car ${car}`,
          drive: `${revision} ${car} ${drive}`,
          revision,
          stratum: `2-3|${loadBand}`,
          loadBand,
          outcomes: { flare: { shifts, events }, harsh: { shifts, events: wobble } },
        };
      }),
    ),
  ).flat(2);
}

const look = (watched: readonly WatchedRow[], harmLimit = 0) => watchRollout(watched, { harmLimit, loadBands: 6 });

describe('a look at a release', () => {
  it('shows harm where one load band flares more, and names it', () => {
    const { verdict, parts } = look([...rows(10), ...rows(2, { loadBand: 0 })]);
    expect(verdict).toBe('harm');
    const harmed = parts
      .filter(({ look: part }) => part.kind === 'harm')
      .map(({ measure, loadBand }) => [measure, loadBand]);
    expect(harmed).toContainEqual(['flare', 2]);
    expect(harmed).not.toContainEqual(['flare', 0]);
    expect(harmed.map(([measure]) => measure)).not.toContain('harsh');
  });

  it('tolerates a rise below the limit', () => {
    expect(look(rows(10), 0.5).verdict).toBe('safe');
  });

  it('is open where the revision flares as often as the one replaced', () => {
    expect(['open', 'safe']).toContain(look(rows(2)).verdict);
  });

  it('tells nothing where no car drove both revisions', () => {
    const apart = rows(10).map((row) => ({ ...row, vehicle: `${row.vehicle} ${row.revision}` }));
    expect(look(apart).verdict).toBe('insufficient');
    expect(look([]).verdict).toBe('insufficient');
  });

  it('takes a shift whose load was not logged as like no other', () => {
    expect(look(rows(10, { loadBand: -1 })).verdict).toBe('insufficient');
  });

  it('is not misled by cars that differ: only each car with itself is compared', () => {
    // Half of the cars flare a lot and have hardly driven the older revision.
    const mixed = rows(2).map((row) => {
      const isWild = Number(row.vehicle.toString().slice(4)) % 2 === 0;
      const events = isWild ? 20 : row.outcomes.flare.events;
      const shifts = isWild && row.revision === 'older' ? 25 : 50;
      const flare = { shifts, events: isWild ? (events * shifts) / 50 : events };
      return { ...row, outcomes: { ...row.outcomes, flare } };
    });
    expect(look(mixed).verdict).not.toBe('harm');
  });
});

// Simulated counts, 40 cars, stages of 10, 25, 50 and 100 %; see simulate-rollout.ts for the scenario.
describe('a rollout of a hundred', { timeout: 240_000 }, () => {
  const RUNS = 100;
  const runs = (ratio: number, firstSeed: number, stopAboveShare?: number) =>
    Array.from({ length: RUNS }, (_, i) => simulateRollout(firstSeed + i, ratio, stopAboveShare));

  it('that doubles flares in one load band is held before more than a quarter of the fleet has it, in 95', () => {
    const held = runs(2, 1, 0.25).filter(({ isHeld, share }) => isHeld && share <= 0.25);
    expect(held.length).toBeGreaterThanOrEqual(95);
  });

  it('that is like the revision replaced is held in 5 at most, and reaches the whole fleet else', () => {
    const results = runs(1, 1001);
    expect(results.filter(({ isHeld }) => isHeld).length).toBeLessThanOrEqual(5);
    expect(results.filter(({ isHeld, share }) => !isHeld && share === 1).length).toBeGreaterThanOrEqual(90);
  });
});
