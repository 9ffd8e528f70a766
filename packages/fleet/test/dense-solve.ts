import type { CountedObservation } from '../src/estimate/shift-moments.js';

/** A textbook problem: rows over nodes, with vehicle and vehicle × kind effects and a given prior precision of nodes. */
export interface DenseProblem {
  readonly nodeCount: number;
  readonly precision: (a: number, b: number) => number;
  readonly rows: readonly { readonly vehicle: string; readonly observation: CountedObservation }[];
  readonly residualSd: number;
  readonly vehicleSd: number;
  readonly vehicleShiftSd: number;
}

export interface DenseSolution {
  readonly corrections: number[];
  readonly vehicles: Map<string, number>;
  readonly kinds: Map<string, number>;
  /** Posterior covariance, effects numbered nodes, vehicles, kinds. */
  readonly covariance: number[][];
  readonly names: string[];
  readonly residualSquares: number;
}

/** Henderson's equations of all effects at once by Gauss–Jordan elimination: nothing shared with the package. */
export function solveDense(problem: DenseProblem): DenseSolution {
  const { nodeCount, rows } = problem;
  const vehicles = [...new Set(rows.map(({ vehicle }) => vehicle))];
  const kinds = [...new Set(rows.map(({ vehicle, observation }) => `${vehicle} ${observation.shiftKind}`))];
  const names = [...Array.from({ length: nodeCount }, (_, k) => `node ${k}`), ...vehicles, ...kinds];
  const placeOf = new Map(names.map((name, i) => [name, i]));
  const size = names.length;
  const information = names.map((_, i) =>
    names.map((_other, j) => {
      if (i < nodeCount && j < nodeCount) return problem.precision(i, j);
      if (i !== j) return 0;
      return i < nodeCount + vehicles.length ? problem.vehicleSd ** -2 : problem.vehicleShiftSd ** -2;
    }),
  );
  const right = names.map(() => 0);
  const dense = rows.map(({ vehicle, observation }) => {
    const x = names.map(() => 0);
    for (const [i, node] of observation.row.nodes.entries()) x[node] += observation.x[i];
    x[placeOf.get(vehicle) ?? 0] = 1;
    x[placeOf.get(`${vehicle} ${observation.shiftKind}`) ?? 0] = 1;
    return { x, y: observation.y, weight: observation.weight };
  });
  for (const { x, y, weight } of dense) {
    for (let i = 0; i < size; i += 1) {
      if (x[i] === 0) continue;
      right[i] += (weight * x[i] * y) / problem.residualSd ** 2;
      for (let j = 0; j < size; j += 1) information[i][j] += (weight * x[i] * x[j]) / problem.residualSd ** 2;
    }
  }
  const covariance = inverse(information);
  const means = covariance.map((row) => row.reduce((sum, value, j) => sum + value * right[j], 0));
  const pick = (from: number, list: string[]) => new Map(list.map((name, i) => [name, means[from + i]]));
  return {
    corrections: means.slice(0, nodeCount),
    vehicles: pick(nodeCount, vehicles),
    kinds: pick(nodeCount + vehicles.length, kinds),
    covariance,
    names,
    residualSquares: dense.reduce(
      (sum, { x, y, weight }) => sum + weight * (y - x.reduce((fit, value, i) => fit + value * means[i], 0)) ** 2,
      0,
    ),
  };
}

function inverse(matrix: readonly (readonly number[])[]): number[][] {
  const size = matrix.length;
  const work = matrix.map((row, i) => [...row, ...row.map((_, j) => (i === j ? 1 : 0))]);
  for (let pivot = 0; pivot < size; pivot += 1) {
    let best = pivot;
    for (let i = pivot; i < size; i += 1) if (Math.abs(work[i][pivot]) > Math.abs(work[best][pivot])) best = i;
    [work[pivot], work[best]] = [work[best], work[pivot]];
    const scale = 1 / work[pivot][pivot];
    for (let j = 0; j < 2 * size; j += 1) work[pivot][j] *= scale;
    for (let i = 0; i < size; i += 1) {
      const factor = work[i][pivot];
      if (i === pivot || factor === 0) continue;
      for (let j = 0; j < 2 * size; j += 1) work[i][j] -= factor * work[pivot][j];
    }
  }
  return work.map((row) => row.slice(size));
}
