import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { arrowPosterior } from '../src/estimate/arrow-posterior.js';
import { DEFAULT_PRIOR, type VarianceComponents } from '../src/estimate/block-prior.js';
import { estimateCorrections } from '../src/estimate/estimate-corrections.js';
import { fleetSums } from '../src/estimate/fleet-sums.js';
import { nodeBlocks } from '../src/estimate/node-blocks.js';
import type { NodeDesign } from '../src/estimate/node-design.js';
import { rebaseShiftMoments } from '../src/estimate/rebase-moments.js';
import { roughnessMatrix } from '../src/estimate/roughness.js';
import { type CountedObservation, roundObservation, shiftMomentsOf } from '../src/estimate/shift-moments.js';
import { blockPriors } from '../src/estimate/variance-components.js';
import { solveDense } from './dense-solve.js';
import { Draws } from './random.js';
import { hasReference, readReference } from './reference.js';
import { aShift, estimated, type SmallTable, smallDesign, unroundedMoments } from './small-fleet.js';

const COMPONENTS: VarianceComponents = {
  residualSd: 0.05,
  vehicleSd: 0.06,
  vehicleShiftSd: 0.03,
  roughnessSd: { base: 0.04, multiplier: 0.02 },
};

describe('roughness', () => {
  it('of 1, 3, 2, 5, 4 on even spacing is 41, as in the Whittaker check values', () => {
    const [y, matrix] = [[1, 3, 2, 5, 4], roughnessMatrix([[0, 1, 2, 3, 4]])];
    expect(y.reduce((sum, a, i) => y.reduce((own, b, j) => own + a * matrix[i * 5 + j] * b, sum), 0)).toBeCloseTo(41);
  });

  it('is 0 for values that lie on a plane, however the break points are spaced', () => {
    const increasing = fc
      .uniqueArray(fc.integer({ min: -1000, max: 1000 }), { minLength: 1, maxLength: 5 })
      .map((points) => points.sort((a, b) => a - b));
    fc.assert(
      fc.property(increasing, increasing, fc.double({ min: -1, max: 1, noNaN: true }), (rows, columns, tilt) => {
        const plane = rows.flatMap((x) => columns.map((y) => 3 + tilt * x - y));
        const matrix = roughnessMatrix([rows, columns]);
        for (let i = 0; i < plane.length; i += 1) {
          const product = plane.reduce((sum, value, j) => sum + matrix[i * plane.length + j] * value, 0);
          expect(Math.abs(product)).toBeLessThan(1e-6 * (1 + Math.max(...matrix.map(Math.abs)) * 2000));
        }
      }),
    );
  });
});

interface MapCorrection {
  readonly cases: readonly {
    readonly name: string;
    readonly design_rows: number[][];
    readonly observations_x_y_value: number[][];
    readonly beta: number[];
    readonly posterior_sd: number[];
    readonly edf: number;
    readonly vehicle: number[];
    readonly u: number[];
    readonly u_posterior_sd: number[];
    readonly beta_posterior_sd: number[];
  }[];
}

describe.runIf(hasReference)('the map correction of penalised_ls.json (numpy direct solve)', () => {
  const { cases } = readReference<MapCorrection>('penalised_ls.json');
  const find = (name: string) => {
    const found = cases.find((entry) => entry.name === name);
    if (!found) throw new Error(`no case ${name}`);
    return found;
  };
  const plain = find('map_correction_3x4');
  const design = smallDesign([
    {
      id: 'base',
      axes: [
        [0, 1, 2],
        [0, 1, 2, 3],
      ],
      values: { '1-2': Array.from({ length: 12 }, () => 1) },
    },
  ]);
  // Penalty 0.5 along x, 0.3 along y and ridge 0.1, against noise of variance 0.04; as precisions over σ².
  const prior = {
    ridgeSd: { base: Math.sqrt(0.04 / 0.1), multiplier: 1 },
    gaugeSd: 1,
    roughness: () =>
      roughnessMatrix(
        [
          [0, 1, 2],
          [0, 1, 2, 3],
        ],
        [0.3, 0.5],
      ),
  };
  const solve = (vehicles: readonly number[], vehicleSd: number) => {
    const rows = plain.design_rows.map((shares, n) => ({
      vehicle: String(vehicles[n]),
      observation: {
        ...aShift({ row: { nodes: [...shares.keys()], shares, gain: 1 }, y: plain.observations_x_y_value[n][2] }),
        x: shares,
      },
    }));
    return estimated(design, unroundedMoments(rows), {
      prior,
      start: { residualSd: 0.2, vehicleSd, vehicleShiftSd: 1e-6, roughnessSd: { base: 0.2, multiplier: 1 } },
      maxIterations: 0,
      centresTrims: false,
    });
  };

  it('agrees without vehicles to 1e-8', () => {
    const found = solve(
      plain.design_rows.map(() => 0),
      1e-6,
    );
    for (const [k, beta] of plain.beta.entries()) {
      expect(found.correctionLn[k]).toBeCloseTo(beta, 8);
      expect(found.sdLn[k]).toBeCloseTo(plain.posterior_sd[k], 8);
    }
  });

  it('agrees with a random vehicle to 1e-8', () => {
    const random = find('map_correction_3x4_random_vehicle');
    const found = solve(random.vehicle, 0.3);
    for (const [k, beta] of random.beta.entries()) {
      expect(found.correctionLn[k]).toBeCloseTo(beta, 8);
      expect(found.sdLn[k]).toBeCloseTo(random.beta_posterior_sd[k], 8);
    }
    for (const [j, effect] of random.u.entries()) {
      expect(found.trims[j].trimLn).toBeCloseTo(effect, 8);
      expect(found.trims[j].sdLn).toBeCloseTo(random.u_posterior_sd[j], 8);
    }
  });
});

/** Two kinds with tables of their own, a factor that both share, and one per kind along the axis of the base. */
const MIXED_TABLES: readonly SmallTable[] = [
  { id: 'base', axes: [[0, 10, 30, 60]], values: { '1-2': [100, 120, 150, 200], '2-3': [90, 100, 110, 170] } },
  {
    id: 'factor',
    unit: '1',
    axes: [[0, 50, 100]],
    quantities: ['fluidTemperature'],
    values: { all: [1, 1.1, 0.9] },
  },
  { id: 'kindFactor', unit: '1', axes: [[0, 1]], values: { '1-2': [1, 1], '2-3': [1, 1] } },
];

function randomRows(draws: Draws, design: NodeDesign, count: number) {
  const spanOf = (id: string, variant: string) =>
    design.spans.find((span) => span.spec.id === id && span.variant === variant) ?? design.spans[0];
  return Array.from({ length: count }, () => {
    const shiftKind = draws.uniform() < 0.5 ? '1-2' : '2-3';
    const spans = [spanOf('base', shiftKind), spanOf('factor', 'all'), spanOf('kindFactor', shiftKind)];
    const nodes: number[] = [];
    const shares: number[] = [];
    for (const { start, values } of spans) {
      const place = Math.floor(draws.uniform() * (values.length - 1));
      const part = draws.uniform();
      nodes.push(start + place, start + place + 1);
      shares.push(1 - part, part);
    }
    const weight = draws.uniform() < 0.2 ? 0.4 : 1;
    const row = { nodes, shares, gain: 1 + draws.uniform() };
    const observation = roundObservation(aShift({ shiftKind, row, y: 0.1 * draws.normal(), weight }));
    return { vehicle: `car ${Math.floor(4 * draws.uniform() ** 2)}`, observation };
  });
}

describe('the solve from moments', () => {
  const design = smallDesign(MIXED_TABLES);
  const rows = randomRows(new Draws(11), design, 160);
  const moments = new Map(
    [...new Set(rows.map(({ vehicle }) => vehicle))].map((id) => [
      id,
      shiftMomentsOf(rows.filter(({ vehicle }) => vehicle === id).map(({ observation }) => observation)),
    ]),
  );
  const dense = solveDense({
    nodeCount: design.nodeCount,
    rows,
    precision: textbookPrecision(design, rows),
    ...COMPONENTS,
  });
  const found = estimated(design, moments, { start: COMPONENTS, maxIterations: 0, centresTrims: false });
  const sdOf = (name: string) => {
    const place = dense.names.indexOf(name);
    return Math.sqrt(dense.covariance[place][place]);
  };

  it('gives the corrections and deviations of a dense textbook solution of all rows to 1e-8', () => {
    for (const [k, correction] of dense.corrections.entries()) {
      expect(found.correctionLn[k]).toBeCloseTo(correction, 8);
      expect(found.sdLn[k]).toBeCloseTo(sdOf(`node ${k}`), 8);
    }
  });

  it('gives its trims, in general and by kind, to 1e-8', () => {
    for (const { vehicleId, trimLn, sdLn, byKind } of found.trims) {
      const general = dense.vehicles.get(vehicleId) ?? Number.NaN;
      expect(trimLn).toBeCloseTo(general, 8);
      expect(sdLn).toBeCloseTo(sdOf(vehicleId), 8);
      for (const own of byKind) {
        const name = `${vehicleId} ${own.shiftKind}`;
        const [a, b] = [dense.names.indexOf(vehicleId), dense.names.indexOf(name)];
        const variance = dense.covariance[a][a] + dense.covariance[b][b] + 2 * dense.covariance[a][b];
        expect(own.trimLn).toBeCloseTo(general + (dense.kinds.get(name) ?? Number.NaN), 8);
        expect(own.sdLn).toBeCloseTo(Math.sqrt(variance), 8);
      }
    }
  });

  it('gives its residual squares and the trace of the hat matrix', () => {
    const fleet = [...moments.keys()].sort().map((id) => moments.get(id) ?? new Map());
    const sums = fleetSums(nodeBlocks(design, fleet), fleet);
    const posterior = arrowPosterior(sums, blockPriors(sums, DEFAULT_PRIOR), COMPONENTS);
    const hat = rows.reduce((trace, { vehicle, observation }) => {
      const x = dense.names.map(() => 0);
      for (const [i, node] of observation.row.nodes.entries()) x[node] += observation.x[i];
      x[dense.names.indexOf(vehicle)] = 1;
      x[dense.names.indexOf(`${vehicle} ${observation.shiftKind}`)] = 1;
      const form = x.reduce(
        (sum, a, i) => (a === 0 ? sum : x.reduce((own, b, j) => own + a * b * dense.covariance[i][j], sum)),
        0,
      );
      return trace + (observation.weight * form) / COMPONENTS.residualSd ** 2;
    }, 0);
    expect(posterior.residualSquares).toBeCloseTo(dense.residualSquares, 8);
    expect(posterior.effectiveParameters).toBeCloseTo(hat, 6);
  });

  it('does not depend on the order of vehicles or shifts, to the bit', () => {
    const own = (id: string) => rows.filter(({ vehicle }) => vehicle === id).map(({ observation }) => observation);
    const reversed = new Map([...moments].reverse().map(([id]) => [id, shiftMomentsOf(own(id).reverse())]));
    expect(estimated(design, reversed)).toEqual(estimated(design, moments));
  });

  it('puts a shift common to all driving into the base and none of it into the multipliers', () => {
    const raised = new Map([...moments].map(([id, own]) => [id, rebaseShiftMoments(own, baseChange(-0.1))]));
    const after = estimated(design, raised, { start: COMPONENTS, maxIterations: 0, centresTrims: false });
    for (const { role, start, values } of design.spans) {
      for (let k = start; k < start + values.length; k += 1) {
        expect(after.correctionLn[k] - found.correctionLn[k]).toBeCloseTo(role === 'base' ? 0.1 : 0, 2);
      }
    }
  });

  function baseChange(ln: number): number[] {
    return design.spans.flatMap(({ role, values }) => values.map(() => (role === 'base' ? ln : 0)));
  }

  it('says that there is nothing without shifts', () => {
    expect(estimateCorrections(design, new Map([['car 0', new Map()]]))).toEqual({
      kind: 'insufficient',
      reason: 'noShifts',
    });
  });
});

describe('whatever the shifts', () => {
  const design = smallDesign(MIXED_TABLES);
  const anyRow = fc.record({
    vehicle: fc.constantFrom('a', 'b', 'c'),
    shiftKind: fc.constantFrom('1-2', '2-3', '3-4'),
    nodes: fc.uniqueArray(fc.nat({ max: design.nodeCount - 1 }), { minLength: 1, maxLength: 5 }),
    gain: fc.double({ min: 1, max: 8, noNaN: true }),
    y: fc.oneof(fc.constant(0), fc.double({ min: -2, max: 2, noNaN: true })),
    weight: fc.constantFrom(0, 1 / 64, 1, 50),
  });

  it('corrections and trims are numbers, and deviations are not negative', () => {
    fc.assert(
      fc.property(fc.array(anyRow, { minLength: 1, maxLength: 25 }), (rows) => {
        const ids = [...new Set(rows.map(({ vehicle }) => vehicle))];
        const moments = new Map(
          ids.map((id) => [
            id,
            shiftMomentsOf(
              rows
                .filter(({ vehicle }) => vehicle === id)
                .map(({ nodes, gain, ...shift }) =>
                  aShift({ ...shift, row: { nodes, shares: nodes.map(() => 1 / nodes.length), gain } }),
                ),
            ),
          ]),
        );
        const found = estimateCorrections(design, moments);
        const isEmpty = rows.every(({ weight }) => weight === 0);
        expect(found.kind).toBe(isEmpty ? 'insufficient' : 'estimate');
        const numbers =
          found.kind === 'estimate' ? [...found.correctionLn, ...found.trims.map(({ trimLn }) => trimLn)] : [];
        const deviations = found.kind === 'estimate' ? [...found.sdLn, ...found.trims.map(({ sdLn }) => sdLn)] : [];
        expect(numbers.filter((value) => !Number.isFinite(value))).toEqual([]);
        expect(deviations.filter((value) => !(value >= 0))).toEqual([]);
      }),
      { numRuns: 200 },
    );
  });
});

/** Roughness and ridge by table variant; for each multiplier the driving-weighted mean held at 0. */
function textbookPrecision(design: NodeDesign, rows: readonly { observation: CountedObservation }[]) {
  const evidence = Array.from({ length: design.nodeCount }, () => 0);
  for (const { observation } of rows) {
    for (const [i, node] of observation.row.nodes.entries())
      evidence[node] += observation.weight * observation.row.shares[i];
  }
  const inSpan = (node: number) =>
    design.spans.find(({ start, values }) => node >= start && node < start + values.length);
  return (a: number, b: number): number => {
    const [span, other] = [inSpan(a), inSpan(b)];
    if (!span || span !== other) return 0;
    const { role, start, values, axes, spec } = span;
    // Along the axis of the base each node of a factor is a level of its own, elsewhere all are one.
    const isLevel = spec.axes[0].quantity === 'load';
    const total = isLevel ? evidence[a] : values.reduce((sum, _, i) => sum + evidence[start + i], 0);
    const isFixed = role !== 'base' && (!isLevel || a === b) && total > 0;
    const smooth = roughnessMatrix(axes)[(a - start) * values.length + b - start] / COMPONENTS.roughnessSd[role] ** 2;
    const ridge = a === b ? DEFAULT_PRIOR.ridgeSd[role] ** -2 : 0;
    const gauge = isFixed ? (evidence[a] * evidence[b]) / total ** 2 / DEFAULT_PRIOR.gaugeSd ** 2 : 0;
    return smooth + ridge + gauge;
  };
}
