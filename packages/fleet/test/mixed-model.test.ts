import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fitMixedModel, type MixedModelFit } from '../src/model/fit-mixed-model.js';
import { minimise } from '../src/model/minimise.js';
import type { MixedModelData, RandomTerm } from '../src/model/mixed-model-data.js';
import type { LikelihoodMethod } from '../src/model/profiled-likelihood.js';
import { Draws } from './random.js';
import { hasReference, readReference } from './reference.js';

/** Levels in order of first appearance, as in the fixture files. */
function term(name: string, labels: readonly string[], columns?: RandomTerm['columns']): RandomTerm {
  const levels = [...new Set(labels)];
  return { name, level: labels.map((label) => levels.indexOf(label)), levelCount: levels.length, columns };
}

function intercept(count: number) {
  return { name: '(Intercept)', values: new Float64Array(count).fill(1) };
}

function fit(data: MixedModelData, method: LikelihoodMethod = 'reml'): MixedModelFit {
  const found = fitMixedModel(data, { method });
  if (found.kind === 'insufficient') throw new Error(`expected a fit, found ${found.reason}`);
  return found;
}

/** Davies and Goldsmith 1972: yield of dyestuff, five preparations from each of six batches A to F. */
const dyestuff = [
  [1545, 1440, 1440, 1520, 1580],
  [1540, 1555, 1490, 1560, 1495],
  [1595, 1550, 1605, 1510, 1560],
  [1445, 1440, 1595, 1465, 1545],
  [1595, 1630, 1515, 1635, 1625],
  [1520, 1455, 1450, 1480, 1445],
];

/** Box and Tiao 1973, table 5.1.4: simulated so that batches do not differ. */
const dyestuff2 = [
  [7.298, 3.846, 2.434, 9.566, 7.99],
  [5.22, 6.556, 0.608, 11.788, -0.892],
  [0.11, 10.386, 13.434, 5.51, 8.166],
  [2.212, 4.852, 7.092, 9.288, 4.98],
  [0.282, 9.014, 4.458, 9.446, 7.198],
  [1.722, 4.782, 8.106, 0.758, 3.758],
];

function oneWay(batches: readonly (readonly number[])[]): MixedModelData {
  const response = batches.flat();
  const labels = batches.flatMap((values, batch) => values.map(() => String(batch)));
  return { response, fixed: [intercept(response.length)], random: [term('batch', labels)] };
}

describe('one-way data typed in', () => {
  it('Dyestuff by REML has its balanced closed form and the criterion of lme4', () => {
    const found = fit(oneWay(dyestuff));
    expect(found.criterion).toBeCloseTo(319.654277, 5);
    expect(found.fixed[0].estimate).toBeCloseTo(1527.5, 6);
    expect(found.fixed[0].standardError).toBeCloseTo(19.38341, 4);
    expect(found.random[0].covariance[0][0]).toBeCloseTo(1764.05, 2);
    expect(found.residualVariance).toBeCloseTo(2451.25, 2);
    const modes = [-17.60685, 0.39126, 28.56223, -23.08454, 56.73319, -44.99529];
    for (const [batch, mode] of modes.entries()) expect(found.random[0].modes[batch]).toBeCloseTo(mode, 3);
    for (const variance of found.random[0].conditionalCovariance) expect(variance).toBeCloseTo(383.634, 2);
  });

  it('Dyestuff by maximum likelihood is as in lme4', () => {
    const found = fit(oneWay(dyestuff), 'ml');
    expect(found.criterion).toBeCloseTo(327.32706, 5);
    expect(found.fixed[0].standardError).toBeCloseTo(17.69455, 4);
    expect(found.random[0].covariance[0][0]).toBeCloseTo(1388.3333, 2);
  });

  it.each([
    ['reml', 161.828278, 13.80631, 0.678388],
    ['ml', 162.873037, 13.346099, 0.666986],
  ] as const)('Dyestuff2 by %s puts the batch variance at exactly 0', (method, criterion, residual, error) => {
    const found = fit(oneWay(dyestuff2), method);
    expect(found.criterion).toBeCloseTo(criterion, 5);
    expect(found.random[0].covariance[0][0]).toBe(0);
    expect([...found.random[0].modes]).toEqual([0, 0, 0, 0, 0, 0]);
    expect(found.residualVariance).toBeCloseTo(residual, 5);
    expect(found.fixed[0].estimate).toBeCloseTo(5.6656, 9);
    expect(found.fixed[0].standardError).toBeCloseTo(error, 5);
  });
});

interface Reference {
  name: string;
  REML: boolean;
  criterion: number;
  fixef: Record<string, number>;
  se: Record<string, number>;
  vcov: number[][];
  sigma: number;
  varcomp: { grp: string; var1?: string; var2?: string; vcov: number }[];
  ranef: { group: string; modes: number[][]; condVar: number[][][] }[];
}

type Columns = Record<string, never> & Record<string, string[] & number[]>;

/** How each model of the fixture file is put to the fit; keys are its group names. */
function models(data: Record<string, Columns>): Record<string, MixedModelData> {
  const { Dyestuff, Dyestuff2, sleepstudy, Penicillin, Pastes } = data;
  const days = { name: 'Days', values: sleepstudy.Days };
  const sleep = { response: sleepstudy.Reaction, fixed: [intercept(180), days] };
  return {
    Dyestuff: { response: Dyestuff.Yield, fixed: [intercept(30)], random: [term('Batch', Dyestuff.Batch)] },
    Dyestuff2: { response: Dyestuff2.Yield, fixed: [intercept(30)], random: [term('Batch', Dyestuff2.Batch)] },
    sleepstudy_correlated: {
      ...sleep,
      random: [term('Subject', sleepstudy.Subject, [intercept(180).values, sleepstudy.Days])],
    },
    sleepstudy_uncorrelated: {
      ...sleep,
      random: [term('Subject', sleepstudy.Subject), term('Subject.1', sleepstudy.Subject, [sleepstudy.Days])],
    },
    sleepstudy_intercept: { ...sleep, random: [term('Subject', sleepstudy.Subject)] },
    Penicillin: {
      response: Penicillin.diameter,
      fixed: [intercept(144)],
      random: [term('plate', Penicillin.plate), term('sample', Penicillin.sample)],
    },
    Pastes_nested: {
      response: Pastes.strength,
      fixed: [intercept(60)],
      random: [term('batch:cask', Pastes.sample), term('batch', Pastes.batch)],
    },
  };
}

/** Departure as a part of the expected value; 0 where both are 0. */
function relativeError(found: number, expected: number): number {
  return Math.abs(found - expected) / (Math.abs(expected) || 1);
}

/** The lower triangle of each term's covariance, then the residual variance, as lme4 lists them: diagonal first. */
function components({ random, residualVariance }: MixedModelFit): number[] {
  return [
    ...random.flatMap(({ covariance, width }) => [
      ...covariance.map((row, i) => row[i]),
      ...(width === 2 ? [covariance[1][0]] : []),
    ]),
    residualVariance,
  ];
}

describe.runIf(hasReference)('fixtures of lme4 1.1-31', () => {
  const fits = hasReference ? readReference<{ fits: Reference[] }>('mixed_fits.json').fits : [];
  const data = hasReference ? models(readReference<{ data: Record<string, Columns> }>('mixed_data.json').data) : {};

  it('are fourteen', () => expect(fits).toHaveLength(14));

  it.each(fits.map((reference) => [reference.name, reference.REML ? 'reml' : 'ml', reference] as const))(
    '%s by %s agrees in criterion, coefficients, variances and modes',
    (name, method, reference) => {
      const found = fit(data[name], method);
      expect(found.isConverged).toBe(true);
      expect(Math.abs(found.criterion - reference.criterion)).toBeLessThan(1e-5);
      for (const [j, [, value]] of Object.entries(reference.fixef).entries()) {
        expect(relativeError(found.fixed[j].estimate, value)).toBeLessThanOrEqual(1e-6);
      }
      for (const [j, [, value]] of Object.entries(reference.se).entries()) {
        expect(relativeError(found.fixed[j].standardError, value)).toBeLessThanOrEqual(5e-5);
      }
      for (const [j, row] of reference.vcov.entries()) {
        for (const [k, value] of row.entries())
          expect(relativeError(found.fixedCovariance[j][k], value)).toBeLessThanOrEqual(2e-4);
      }
      const expected = reference.varcomp.map(({ vcov }) => vcov);
      for (const [i, value] of components(found).entries())
        expect(relativeError(value, expected[i])).toBeLessThanOrEqual(1e-4);
      if (name !== 'sleepstudy_uncorrelated') expectModes(found, reference);
    },
  );

  function expectModes(found: MixedModelFit, reference: Reference) {
    for (const [t, { modes, condVar }] of reference.ranef.entries()) {
      const { modes: own, conditionalCovariance, covariance } = found.random[t];
      const spread = Math.sqrt(covariance[0][0]);
      for (const [i, mode] of modes.flat().entries()) {
        expect(Math.abs(own[i] - mode)).toBeLessThanOrEqual(1e-3 * spread);
      }
      for (const [i, value] of condVar.flat(2).entries()) {
        expect(Math.abs(conditionalCovariance[i] - value)).toBeLessThanOrEqual(1e-3 * spread ** 2);
      }
    }
  }

  it('gives the same fit from cask means with their spread as from single strengths', () => {
    const raw = data.Pastes_nested;
    const casks = raw.random[0];
    const values = Array.from({ length: casks.levelCount }, (_, cask) =>
      Array.from(raw.response).filter((_, row) => casks.level[row] === cask),
    );
    const means = values.map((pair) => (pair[0] + pair[1]) / 2);
    const batchOf = (cask: number) => raw.random[1].level[Array.from(casks.level).indexOf(cask)];
    const summarised = fit({
      response: means,
      weights: values.map((pair) => pair.length),
      withinSumOfSquares: values.reduce((sum, [a, b]) => sum + (a - b) ** 2 / 2, 0),
      fixed: [intercept(means.length)],
      random: [
        { ...casks, level: means.map((_, cask) => cask) },
        { ...raw.random[1], level: means.map((_, cask) => batchOf(cask)) },
      ],
    });
    const full = fit(raw);
    expect(summarised.criterion).toBeCloseTo(full.criterion, 6);
    expect(summarised.observations).toBe(60);
    for (const [i, value] of components(full).entries())
      expect(relativeError(components(summarised)[i], value)).toBeLessThanOrEqual(1e-4);
  });
});

/** −2 log density of y under the fitted covariance, by dense elimination: an independent way to the criterion. */
function denseCriterion(data: MixedModelData, found: MixedModelFit): number {
  const n = data.response.length;
  const zRow = (random: RandomTerm, row: number) => random.columns?.map((column) => column[row]) ?? [1];
  const covariance = Array.from({ length: n }, (_, i) =>
    Array.from({ length: n }, (_, j) =>
      data.random.reduce(
        (sum, random, t) => {
          if (random.level[i] !== random.level[j]) return sum;
          const [a, b] = [zRow(random, i), zRow(random, j)];
          return (
            sum + a.reduce((s, x, r) => s + b.reduce((u, y, c) => u + x * found.random[t].covariance[r][c] * y, 0), 0)
          );
        },
        i === j ? found.residualVariance : 0,
      ),
    ),
  );
  const lower = denseCholesky(covariance);
  const whiten = (v: ArrayLike<number>) => solveDense(lower, v);
  const xs = data.fixed.map(({ values }) => whiten(values));
  const y = whiten(data.response);
  const information = xs.map((a) => xs.map((b) => dot(a, b)));
  const fixedLower = denseCholesky(information);
  const projected = solveDense(
    fixedLower,
    xs.map((a) => dot(a, y)),
  );
  const quadratic = dot(y, y) - dot(projected, projected);
  const logDet = (l: number[][]) => 2 * l.reduce((sum, row, i) => sum + Math.log(row[i]), 0);
  const isReml = found.method === 'reml';
  const freedom = n - (isReml ? xs.length : 0);
  return freedom * Math.log(2 * Math.PI) + logDet(lower) + quadratic + (isReml ? logDet(fixedLower) : 0);
}

function dot(a: ArrayLike<number>, b: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < a.length; i += 1) sum += a[i] * b[i];
  return sum;
}

function denseCholesky(matrix: number[][]): number[][] {
  const lower = matrix.map((row) => row.map(() => 0));
  for (let i = 0; i < matrix.length; i += 1) {
    for (let j = 0; j <= i; j += 1) {
      const rest = matrix[i][j] - dot(lower[i].slice(0, j), lower[j].slice(0, j));
      lower[i][j] = i === j ? Math.sqrt(rest) : rest / lower[j][j];
    }
  }
  return lower;
}

function solveDense(lower: number[][], v: ArrayLike<number>): number[] {
  const x: number[] = [];
  for (let i = 0; i < lower.length; i += 1) x.push((v[i] - dot(lower[i].slice(0, i), x)) / lower[i][i]);
  return x;
}

/** Vehicles crossed with places, shifts nested in vehicles, a correlated slope by vehicle. */
function simulatedData(seed: number): MixedModelData {
  const draws = new Draws(seed);
  const rows = Array.from({ length: 60 }, (_, row) => {
    const vehicle = row % 6;
    return {
      vehicle,
      place: Math.floor(draws.uniform() * 4),
      shift: Math.floor(draws.uniform() * 3),
      x: draws.normal(),
    };
  });
  const effect = Array.from({ length: 40 }, () => draws.normal());
  return {
    response: rows.map(
      ({ vehicle, place, shift, x }) =>
        3 +
        x +
        effect[vehicle] * (1 + x / 2) +
        effect[10 + place] +
        effect[20 + vehicle * 3 + shift] / 2 +
        draws.normal(),
    ),
    fixed: [intercept(rows.length), { name: 'x', values: rows.map(({ x }) => x) }],
    random: [
      {
        name: 'vehicle',
        level: rows.map((r) => r.vehicle),
        levelCount: 6,
        columns: [intercept(60).values, rows.map((r) => r.x)],
      },
      { name: 'place', level: rows.map((r) => r.place), levelCount: 4 },
      { name: 'vehicle × shift', level: rows.map((r) => r.vehicle * 3 + r.shift), levelCount: 18 },
    ],
  };
}

describe('mixed model in general', () => {
  it.each([1, 2, 3, 4])('reports the density of the data at its own estimates, nested and crossed (set %i)', (seed) => {
    const data = simulatedData(seed);
    for (const method of ['reml', 'ml'] as const) {
      const found = fit(data, method);
      expect(found.criterion).toBeCloseTo(denseCriterion(data, found), 6);
    }
  });

  it('is moved by adding Xβ in its coefficients only, and by scaling in all its variances', () => {
    const data = simulatedData(9);
    const base = fit(data);
    fc.assert(
      fc.property(fc.integer({ min: -1000, max: 1000 }), fc.integer({ min: 1, max: 50 }), (shift, scale) => {
        const moved = fit({ ...data, response: Array.from(data.response, (y) => scale * y + shift) });
        expect(relativeError(moved.fixed[0].estimate - shift, scale * base.fixed[0].estimate)).toBeLessThanOrEqual(
          1e-4,
        );
        expect(relativeError(moved.fixed[1].estimate, scale * base.fixed[1].estimate)).toBeLessThanOrEqual(1e-4);
        expect(relativeError(moved.residualVariance, scale ** 2 * base.residualVariance)).toBeLessThanOrEqual(1e-3);
      }),
      { numRuns: 10 },
    );
  });

  it('says why there is no fit', () => {
    const random = [term('vehicle', ['a', 'a', 'b', 'b'])];
    const one = intercept(4);
    const reasonOf = (data: MixedModelData) => {
      const found = fitMixedModel(data);
      return found.kind === 'insufficient' ? found.reason : 'fitted';
    };
    expect(reasonOf({ response: [1, 2, 3, 5], fixed: [one, { ...one, name: 'again' }], random })).toBe(
      'dependentFixedColumns',
    );
    expect(reasonOf({ response: [1, 1, 3, 3], fixed: [one], random })).toBe('noResidualVariation');
    expect(reasonOf({ response: [2, 2, 2, 2], fixed: [one], random })).toBe('noResidualVariation');
    expect(reasonOf({ response: [2], fixed: [one], random: [term('vehicle', ['a'])] })).toBe('tooFewObservations');
  });
});

describe('minimiser', () => {
  it('finds the minimum of Rosenbrock’s valley from its classical start', () => {
    const found = minimise(([x, y]) => 100 * (y - x * x) ** 2 + (1 - x) ** 2, Float64Array.of(-1.2, 1));
    expect(found.isConverged).toBe(true);
    expect(found.point[0]).toBeCloseTo(1, 5);
    expect(found.point[1]).toBeCloseTo(1, 5);
  });

  it('says when it ran out of evaluations', () => {
    const found = minimise(([x]) => (x - 3) ** 4, Float64Array.of(100), { maxEvaluations: 10 });
    expect(found.isConverged).toBe(false);
    expect(found.evaluations).toBeLessThan(20);
  });
});
