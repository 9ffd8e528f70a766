import type { TermLayout } from './block-pattern.js';
import { crossProducts } from './cross-products.js';
import { backSolve, factoriseDense, forwardSolve, inverseFromFactor } from './dense-cholesky.js';
import { minimise } from './minimise.js';
import type { MixedModelData, RandomTerm } from './mixed-model-data.js';
import { type LikelihoodMethod, ProfiledLikelihood, type ProfileSolution } from './profiled-likelihood.js';
import { type RelativeFactor, relativeFactors, thetaCount, unitTheta } from './relative-factor.js';
import { solveLowerAlongPath } from './sparse-cholesky.js';

export interface FixedEffect {
  readonly name: string;
  readonly estimate: number;
  readonly standardError: number;
}

/** What was estimated of one random term with `width` columns. */
export interface RandomEffects {
  readonly name: string;
  readonly width: number;
  /** Covariance of its columns over levels, `width` × `width`; exactly 0 on the boundary. */
  readonly covariance: readonly Float64Array[];
  /** Conditional modes (shrunken estimates), level by level. */
  readonly modes: Float64Array;
  /** Covariance of each level's effects given data and estimates, `width²` numbers per level. */
  readonly conditionalCovariance: Float64Array;
}

export interface MixedModelFit {
  readonly kind: 'estimate';
  readonly method: LikelihoodMethod;
  /** −2 log likelihood (restricted for REML). Comparable between fits of the same method and fixed columns. */
  readonly criterion: number;
  readonly fixed: readonly FixedEffect[];
  readonly fixedCovariance: readonly Float64Array[];
  readonly residualVariance: number;
  /** In the order of the data's terms. */
  readonly random: readonly RandomEffects[];
  readonly observations: number;
  readonly evaluations: number;
  /** False when the optimiser ran out of evaluations. */
  readonly isConverged: boolean;
}

/** Why there is no fit. */
export interface MixedModelInsufficient {
  readonly kind: 'insufficient';
  readonly reason: 'tooFewObservations' | 'dependentFixedColumns' | 'noResidualVariation';
  readonly observations: number;
}

export type MixedModelResult = MixedModelFit | MixedModelInsufficient;

/** Part of the departures' sum of squares, and of the response's, below which the residual is rounding. */
const NO_RESIDUAL = { ofDepartures: 1e-10, ofResponse: 1e-24 };

/**
 * Linear mixed model by restricted (default) or plain maximum likelihood, with nested or crossed grouping factors and
 * correlated random columns (methods.md 7; Bates et al. 2015). A variance on the boundary is reported as exactly 0.
 * Cost: one pass over the rows, then 30 to 150 sparse factorisations.
 */
export function fitMixedModel(
  data: MixedModelData,
  { method = 'reml' }: { readonly method?: LikelihoodMethod } = {},
): MixedModelResult {
  const plain = crossProducts({ ...data, random: [] }, data.response);
  const { observations } = plain;
  const refuse = (reason: MixedModelInsufficient['reason']): MixedModelInsufficient => ({
    kind: 'insufficient',
    reason,
    observations,
  });
  if (observations <= data.fixed.length) return refuse('tooFewObservations');
  const xx = factoriseDense(plain.xx);
  if (xx.kind === 'singular') return refuse('dependentFixedColumns');

  // The model is equivariant to Xβ: fitting the departures from least squares keeps the sums of squares small.
  const start = backSolve(xx.lower, forwardSolve(xx.lower, plain.xy));
  const departures = Float64Array.from(data.response, (y, row) =>
    data.fixed.reduce((rest, { values }, j) => rest - start[j] * values[row], y),
  );
  const products = crossProducts(data, departures);
  const rounding = Math.max(NO_RESIDUAL.ofDepartures * products.yy, NO_RESIDUAL.ofResponse * plain.yy);
  if (products.yy <= rounding) return refuse('noResidualVariation');
  const likelihood = new ProfiledLikelihood(products, data.random, method);
  const found = minimise((theta) => likelihood.criterion(theta), roughTheta(likelihood, data.random));
  const theta = settleOnBoundary(likelihood, data.random, found.point);
  const solution = likelihood.solve(theta);
  if (!solution || solution.residualVariance * observations <= rounding) return refuse('noResidualVariation');
  const factors = relativeFactors(data.random, theta);
  return {
    kind: 'estimate',
    method,
    criterion: solution.criterion,
    ...describeFixed(data, start, solution),
    residualVariance: solution.residualVariance,
    random: data.random.map((_, index) =>
      describeTerm(layoutOf(products.layout.layouts, index), factors[index], solution, likelihood),
    ),
    observations,
    evaluations: found.evaluations,
    isConverged: found.isConverged,
  };
}

/** Coefficients are those of the departures plus the least-squares `start` that was taken off. */
function describeFixed(
  { fixed }: MixedModelData,
  start: Float64Array,
  { coefficients, informationFactor, residualVariance }: ProfileSolution,
): Pick<MixedModelFit, 'fixed' | 'fixedCovariance'> {
  const fixedCovariance = inverseFromFactor(informationFactor).map((row) => row.map((v) => v * residualVariance));
  return {
    fixed: fixed.map(({ name }, j) => ({
      name,
      estimate: start[j] + coefficients[j],
      standardError: Math.sqrt(fixedCovariance[j][j]),
    })),
    fixedCovariance,
  };
}

/** By how much a rough search scales a term's factor, and how often at most. */
const ROUGH = { scale: 0.3, steps: 6 };

/** Unit variances, scaled down term by term as long as that is more likely: a start of the right order of magnitude. */
function roughTheta(likelihood: ProfiledLikelihood, random: readonly RandomTerm[]): Float64Array {
  let theta = unitTheta(random);
  let best = likelihood.criterion(theta);
  let at = 0;
  for (const term of random) {
    const end = at + thetaCount(term);
    for (let step = 0; step < ROUGH.steps; step += 1) {
      const trial = theta.map((value, i) => (i >= at && i < end ? ROUGH.scale * value : value));
      const value = likelihood.criterion(trial);
      if (!(value < best)) break;
      theta = trial;
      best = value;
    }
    at = end;
  }
  return theta;
}

/**
 * Sets a column of a term's factor to exactly 0 where that is at least as likely: the criterion is even in it, so an
 * optimiser only creeps towards the boundary.
 */
function settleOnBoundary(
  likelihood: ProfiledLikelihood,
  random: readonly RandomTerm[],
  found: Float64Array,
): Float64Array {
  let theta = found;
  let best = likelihood.criterion(theta);
  let at = 0;
  for (const term of random) {
    let height = term.columns?.length ?? 1;
    for (const end = at + thetaCount(term); at < end; at += height, height -= 1) {
      const trial = theta.slice();
      trial.fill(0, at, at + height);
      const value = likelihood.criterion(trial);
      if (value > best + 1e-9) continue;
      theta = trial;
      best = value;
    }
  }
  return theta;
}

function layoutOf(layouts: readonly TermLayout[], index: number): TermLayout {
  const layout = layouts.find((candidate) => candidate.index === index);
  if (!layout) throw new RangeError(`no random term ${index}`);
  return layout;
}

function describeTerm(
  { term, offset, width }: TermLayout,
  factor: RelativeFactor,
  { residualVariance, effects }: ProfileSolution,
  { factor: sparse, effectCount }: ProfiledLikelihood,
): RandomEffects {
  const covariance = factor.map((row) =>
    Float64Array.from(factor, (other) => residualVariance * row.reduce((sum, value, k) => sum + value * other[k], 0)),
  );
  const conditionalCovariance = new Float64Array(term.levelCount * width * width);
  const work = Array.from({ length: width }, () => new Float64Array(sparse.pattern.size));
  const isEffect = (k: number) => k !== -1 && k < effectCount;
  for (let level = 0; level < term.levelCount; level += 1) {
    const first = offset + level * width;
    for (let c = 0; c < width; c += 1) {
      for (let k = first; isEffect(k); k = sparse.parent[k]) work[c][k] = 0;
      for (let r = 0; r <= c; r += 1) work[c][first + r] = factor[c][r];
      solveLowerAlongPath(sparse, work[c], first, effectCount);
    }
    for (let c = 0; c < width; c += 1) {
      for (let d = 0; d < width; d += 1) {
        let sum = 0;
        for (let k = first; isEffect(k); k = sparse.parent[k]) sum += work[c][k] * work[d][k];
        conditionalCovariance[(level * width + c) * width + d] = residualVariance * sum;
      }
    }
  }
  return {
    name: term.name,
    width,
    covariance,
    modes: effects.slice(offset, offset + width * term.levelCount),
    conditionalCovariance,
  };
}
