import {
  clusteredRate,
  compareOutcomes,
  fitMixedModel,
  mergeSketches,
  type OutcomeRow,
  type QuantileSketch,
  sketchOf,
  sketchQuantile,
  tabulateOutcomes,
} from '../src/index.js';
import { seededUniform } from '../src/special/seeded-random.js';
import { corrections } from './corrections.js';
import { cube } from './cube.js';
import { assert, measure as measureRuns, printAll, SEED } from './measure.js';

const RUNS = 7;

console.log(`fleet, Node ${process.version}, median of ${RUNS} runs (fastest to slowest)`);
for (const vehicles of [50, 500]) matrixOfRates(vehicles, 96);
for (const vehicles of [50, 500]) comparison(vehicles, 200);
for (const vehicles of [50, 500]) mixedModel(vehicles, 16, 24);
for (const vehicles of [50, 500]) sketches(vehicles);
for (const vehicles of [50, 500]) corrections(vehicles, 2000);
for (const shifts of [100_000, 1_000_000, 10_000_000]) cube(shifts);
printAll();

function measure<Result>(title: string, run: () => Result): Result {
  return measureRuns(title, RUNS, run);
}

/** Intervals of every cell of a shift × load matrix. */
function matrixOfRates(vehicles: number, cells: number): void {
  const uniform = seededUniform(SEED);
  const counts = Array.from({ length: cells }, () => {
    const trials = Float64Array.from({ length: vehicles }, () => 5 + Math.floor(uniform() * 40));
    return { trials, events: trials.map((n) => Math.floor(n * uniform() * 0.1)) };
  });
  measure(`rates of ${cells} cells over ${vehicles} vehicles`, () => {
    for (const cell of counts) assert(clusteredRate(cell).kind === 'estimate');
  });
}

/** Two revisions over vehicles × strata rows each. */
function comparison(vehicles: number, strata: number): void {
  const uniform = seededUniform(SEED);
  const rows: OutcomeRow[] = [];
  for (let vehicle = 0; vehicle < vehicles; vehicle += 1) {
    for (let stratum = 0; stratum < strata; stratum += 1) {
      for (const [revision, rate] of [
        ['older', 0.05],
        ['newer', 0.03],
      ] as const) {
        const shifts = 1 + Math.floor(uniform() * 40);
        rows.push({ vehicle, stratum, revision, shifts, events: Math.floor(shifts * rate + uniform()) });
      }
    }
  }
  const size = `${vehicles} vehicles × ${strata} strata`;
  const table = measure(`tabulate ${rows.length} rows, ${size}`, () => tabulateOutcomes(rows));
  const found = measure(`compare two revisions, ${size}`, () => compareOutcomes(table));
  assert(found.kind === 'estimate' && Math.abs(found.adjusted.difference + 0.02) < 0.005);
}

/** Revision and load as fixed effects, vehicle and vehicle × shift as random ones. */
function mixedModel(vehicles: number, kinds: number, shiftsEach: number): void {
  const uniform = seededUniform(SEED);
  const normal = () => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform());
  const rows = vehicles * kinds * shiftsEach;
  const vehicle = Int32Array.from({ length: rows }, (_, row) => Math.floor(row / (kinds * shiftsEach)));
  const vehicleKind = Int32Array.from({ length: rows }, (_, row) => Math.floor(row / shiftsEach));
  const newer = Float64Array.from({ length: rows }, (_, row) => row % 2);
  const load = Float64Array.from({ length: rows }, uniform);
  const own = Float64Array.from({ length: vehicles }, () => 0.1 * normal());
  const ownKind = Float64Array.from({ length: vehicles * kinds }, () => 0.05 * normal());
  const response = Float64Array.from(
    vehicle,
    (v, row) => 1 + 0.05 * newer[row] + 0.2 * load[row] + own[v] + ownKind[vehicleKind[row]] + 0.3 * normal(),
  );
  const found = measure(
    `mixed model of ${rows} shifts, ${vehicles} vehicles, ${vehicles * kinds} vehicle × shift`,
    () =>
      fitMixedModel({
        response,
        fixed: [
          { name: 'mean', values: new Float64Array(rows).fill(1) },
          { name: 'newer revision', values: newer },
          { name: 'load', values: load },
        ],
        random: [
          { name: 'vehicle', level: vehicle, levelCount: vehicles },
          { name: 'vehicle × shift', level: vehicleKind, levelCount: vehicles * kinds },
        ],
      }),
  );
  assert(found.kind === 'estimate' && Math.abs(found.fixed[1].estimate - 0.05) < 4 * found.fixed[1].standardError);
}

/** Sketches of 2,000 shifts per vehicle, merged into one. */
function sketches(vehicles: number): void {
  const uniform = seededUniform(SEED);
  const values = Array.from({ length: vehicles }, () => Float64Array.from({ length: 2000 }, () => 1000 * uniform()));
  const parts = measure(`sketch ${vehicles} × 2000 values`, () => values.map((own) => sketchOf(own)));
  const whole = measure(`merge ${vehicles} sketches`, () => parts.reduce<QuantileSketch>(mergeSketches, sketchOf([])));
  assert(Math.abs(sketchQuantile(whole, 0.5) / 500 - 1) < 0.03);
}
