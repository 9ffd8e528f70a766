import { describe, expect, it } from 'vitest';
import { DEFAULT_PRIOR } from '../src/estimate/block-prior.js';
import { roughnessMatrix } from '../src/estimate/roughness.js';
import type { CountedObservation } from '../src/estimate/shift-moments.js';
import { fitMixedModel } from '../src/model/fit-mixed-model.js';
import { solveDense } from './dense-solve.js';
import { Draws } from './random.js';
import { hasReference, readReference } from './reference.js';
import { aShift, estimated, smallDesign, unroundedMoments } from './small-fleet.js';

describe('components by restricted likelihood', () => {
  const design = smallDesign([{ id: 'base', values: { all: [1] } }]);
  const options = {
    prior: { ...DEFAULT_PRIOR, ridgeSd: { base: 1e4, multiplier: 1 } },
    bounds: { lowest: 1e-9, highest: 1e6 },
    tolerance: 1e-9,
    maxIterations: 3000,
  };
  const levelOnly = (y: number, shiftKind: string): CountedObservation => ({ ...aShift({ y, shiftKind }), x: [1] });

  it.runIf(hasReference)('are those of lme4 for batches and casks of the Pastes data (check-values.md 2.1)', () => {
    const { Pastes } = readReference<{ data: { Pastes: { strength: number[]; batch: string[]; cask: string[] } } }>(
      'mixed_data.json',
    ).data;
    const rows = Pastes.strength.map((y, n) => ({
      vehicle: Pastes.batch[n],
      observation: levelOnly(y, Pastes.cask[n]),
    }));
    const start = { residualSd: 1, vehicleSd: 1, vehicleShiftSd: 1, roughnessSd: { base: 1, multiplier: 1 } };
    const found = estimated(design, unroundedMoments(rows), { ...options, start });
    expect(found.isConverged).toBe(true);
    expect(found.components.residualSd ** 2).toBeCloseTo(0.678, 3);
    expect(found.components.vehicleShiftSd ** 2).toBeCloseTo(8.433667, 3);
    expect(found.components.vehicleSd ** 2).toBeCloseTo(1.657309, 2);
    expect(found.correctionLn[0]).toBeCloseTo(60.053333, 4);
  });

  it('are those of the mixed model for unequal cars', () => {
    const draws = new Draws(5);
    const cars = Array.from({ length: 14 }, (_, j) => ({
      id: String(j).padStart(2, '0'),
      trim: 0.07 * draws.normal(),
    }));
    const rows = cars.flatMap(({ id, trim }) =>
      ['1-2', '2-3', '3-4'].flatMap((kind) => {
        const own = trim + 0.04 * draws.normal();
        return Array.from({ length: 1 + Math.floor(9 * draws.uniform()) }, () => ({
          vehicle: id,
          observation: levelOnly(0.2 + own + 0.05 * draws.normal(), kind),
        }));
      }),
    );
    const found = estimated(design, unroundedMoments(rows), options);
    const level = (labels: string[]) => {
      const known = [...new Set(labels)];
      return { level: labels.map((label) => known.indexOf(label)), levelCount: known.length };
    };
    const model = fitMixedModel({
      response: rows.map(({ observation }) => observation.y),
      fixed: [{ name: 'mean', values: rows.map(() => 1) }],
      random: [
        { name: 'vehicle', ...level(rows.map(({ vehicle }) => vehicle)) },
        { name: 'kind', ...level(rows.map(({ vehicle, observation }) => `${vehicle} ${observation.shiftKind}`)) },
      ],
    });
    if (model.kind !== 'estimate') throw new Error('expected a fit');
    expect(found.components.residualSd ** 2 / model.residualVariance).toBeCloseTo(1, 4);
    expect(found.components.vehicleSd ** 2 / model.random[0].covariance[0][0]).toBeCloseTo(1, 4);
    expect(found.components.vehicleShiftSd ** 2 / model.random[1].covariance[0][0]).toBeCloseTo(1, 4);
    expect(found.correctionLn[0]).toBeCloseTo(model.fixed[0].estimate, 6);
    expect(found.trims.map(({ trimLn }) => trimLn)).toEqual(
      [...model.random[0].modes].map((mode) => expect.closeTo(mode, 5)),
    );
  });

  it('find the smoothness that makes the restricted likelihood highest', () => {
    const axis = Array.from({ length: 9 }, (_, i) => i);
    const line = smallDesign([{ id: 'base', axes: [axis], values: { '1-2': axis.map(() => 1) } }]);
    const draws = new Draws(21);
    const rows = Array.from({ length: 120 }, (_, n) => {
      const node = Math.floor(9 * draws.uniform());
      const y = 0.2 * Math.sin(node) + 0.05 * draws.normal();
      return {
        vehicle: `car ${n % 5}`,
        observation: { ...aShift({ y, row: { nodes: [node], shares: [1], gain: 1 } }), x: [1] },
      };
    });
    const found = estimated(line, unroundedMoments(rows), { tolerance: 1e-8, maxIterations: 2000 });
    const precisionAt = (roughness: number) => (a: number, b: number) =>
      roughnessMatrix([axis])[a * 9 + b] / roughness ** 2 + (a === b ? DEFAULT_PRIOR.ridgeSd.base ** -2 : 0);
    // ln |V| + yᵀV⁻¹y by the covariance of the responses themselves.
    const criterion = (roughness: number) => {
      const { components } = found;
      const prior = invert(
        Array.from({ length: 9 }, (_, a) => Array.from({ length: 9 }, (_o, b) => precisionAt(roughness)(a, b))),
      );
      const covariance = rows.map(({ vehicle, observation: one }, i) =>
        rows.map((other, j) => {
          const same = vehicle === other.vehicle ? components.vehicleSd ** 2 + components.vehicleShiftSd ** 2 : 0;
          const noise = i === j ? components.residualSd ** 2 : 0;
          return prior[one.row.nodes[0]][other.observation.row.nodes[0]] + same + noise;
        }),
      );
      return gaussianCriterion(
        covariance,
        rows.map(({ observation }) => observation.y),
      );
    };
    const best = found.components.roughnessSd.base;
    expect(criterion(best * 1.03)).toBeGreaterThan(criterion(best));
    expect(criterion(best / 1.03)).toBeGreaterThan(criterion(best));
  });
});

function invert(matrix: number[][]): number[][] {
  return solveDense({
    nodeCount: matrix.length,
    precision: (a, b) => matrix[a][b],
    rows: [],
    residualSd: 1,
    vehicleSd: 1,
    vehicleShiftSd: 1,
  }).covariance;
}

/** ln |V| + yᵀV⁻¹y by elimination. */
function gaussianCriterion(covariance: number[][], y: number[]): number {
  const work = covariance.map((row, i) => [...row, y[i]]);
  const size = y.length;
  let sum = 0;
  for (let p = 0; p < size; p += 1) {
    sum += Math.log(work[p][p]) + work[p][size] ** 2 / work[p][p];
    for (let i = p + 1; i < size; i += 1) {
      const factor = work[i][p] / work[p][p];
      for (let j = p; j <= size; j += 1) work[i][j] -= factor * work[p][j];
    }
  }
  return sum;
}
