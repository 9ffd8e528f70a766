import {
  type CountedCell,
  cellFilter,
  cellKey,
  clusteredRate,
  compareOutcomes,
  comparisonTable,
  matrixCounts,
  type PlacedSlice,
  SLICE_COUNTS,
  sliceOf,
  sumCells,
  withoutSpeed,
} from '../src/index.js';
import { seededUniform } from '../src/special/seeded-random.js';
import { assert, measure, SEED } from './measure.js';

const VEHICLES = 500;
const REVISIONS = 3;
const RUNS = 7;
const KINDS = 10;

const random = seededUniform(SEED);
/** A band of six around the car's own habit. */
const near = (centre: number, count: number) =>
  Math.min(count - 1, Math.max(0, Math.round(centre + 1.4 * (random() + random() + random() - 1.5))));

/** One slice of a car: its shifts as they fall. */
function drive(shifts: number): CountedCell[] {
  const habit = { load: 1.5 + 2 * random(), speed: 1.5 + 2 * random() };
  return Array.from({ length: shifts }, () => {
    const flare = random() < 0.03 ? 1 : 0;
    return {
      key: cellKey({
        kind: Math.floor(random() * KINDS),
        loadBand: near(habit.load, 6),
        temperatureBand: near(3, 5),
        program: 1 + Math.floor(random() * 2),
        speedBand: near(habit.speed, 6),
      }),
      counts: SLICE_COUNTS.map((name) =>
        name === 'shifts' || name.endsWith('Measured') ? 1 : name === 'flare' ? flare : 0,
      ),
    };
  });
}

const share = { events: 'flare', trials: 'flareMeasured' } as const;

/** The fleet matrix and a comparison of two revisions, from the slices of a fleet that drove `shifts` in all. */
export function cube(shifts: number): void {
  const slices = Array.from({ length: VEHICLES * REVISIONS }, (_, i): PlacedSlice => {
    const [vehicleId, revisionId] = [`v${i % VEHICLES}`, `r${Math.floor(i / VEHICLES)}`];
    return { vehicleId, revisionId, slice: withoutSpeed(sliceOf(drive(Math.round(shifts / VEHICLES / REVISIONS)))) };
  });
  const cells = slices.reduce((sum, { slice }) => sum + slice.keys.length, 0);
  const name = `${shifts.toLocaleString('en')} shifts of ${VEHICLES} vehicles (${cells.toLocaleString('en')} cells)`;
  measure(`matrix with intervals, ${name}`, RUNS, () => {
    const matrix = matrixCounts(slices, share, cellFilter({}));
    for (const cell of matrix.cells) assert(clusteredRate(cell).shifts > 0);
    assert(clusteredRate(sumCells(matrix.cells)).shifts === slices.length * Math.round(shifts / slices.length));
  });
  const of = (revision: string) => slices.filter((placed) => placed.revisionId === revision);
  measure(`comparison of two revisions, ${name}`, RUNS, () => {
    assert(compareOutcomes(comparisonTable(of('r0'), of('r1'), share)).shifts > 0);
  });
}
